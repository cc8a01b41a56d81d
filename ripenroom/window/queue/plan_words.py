"""What is planned for a batch, and what it costs to decide otherwise, in words."""

from typing import TYPE_CHECKING, Final

from ripenroom.texts import tr, tr_n
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary, QueuePlan
from ripenroom.window.queue.scene import Scene
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import crates_words
from ripenroom.wording.plan.pins import broken_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PinCost


def line_plan_words(scene: Scene, line: int, words: Formats) -> str:
    """How all crates of a line are planned to go, one sentence each; empty while nothing is."""
    planned = scene.planned
    if planned is None:
        return ""
    return "\n".join(f"{way_words(planned, way, words)}." for way in scene.ways_of(line))


def way_words(planned: QueuePlan, way: QueueItinerary, words: Formats) -> str:
    """``"3 crates for Village market, Sat 26 Sep: to Ripening room Thu 24 Sep, 18:00; 78 % ready
    then"``, and whether that is pinned or packed."""
    line, parts = way.line, _steps(planned, way, words)
    if way.fate is ItineraryEnd.SOLD:
        share = tr("{share} ready then")
        parts.append(share.format(share=words.share(line.expected_ready_share)))
    if line.packed:
        parts.append(tr("packed"))
    elif way.pinned:
        parts.append(tr("pinned"))
    crates = crates_words(line.crates)
    return tr("{crates} {goal}: {route}").format(
        crates=crates, goal=_goal(planned, way, words), route="; ".join(parts)
    )


def _goal(planned: QueuePlan, way: QueueItinerary, words: Formats) -> str:
    """What becomes of them in the end."""
    if way.fate is ItineraryEnd.CLEARED:
        return tr("to clear away")
    if way.fate is ItineraryEnd.SECOND_GRADE:
        return tr("to second grade {day}").format(day=words.day(way.ends_h))
    if way.fate is ItineraryEnd.LEFT and way.pinned:
        return tr("kept back")
    if way.fate is ItineraryEnd.LEFT:
        return tr("for no market day")
    return tr("for {market}, {day}").format(
        market=planned.day_names[way.line.market_day_id or ""], day=words.day(way.ends_h)
    )


def _steps(planned: QueuePlan, way: QueueItinerary, words: Formats) -> list[str]:
    """Where they wait, and where they are moved when."""
    names, line = planned.place_names, way.line
    here = names[line.from_place_id]
    if way.fate is ItineraryEnd.CLEARED:
        return [tr("from {place}, its room is needed").format(place=here)]
    if way.fate is ItineraryEnd.SECOND_GRADE:
        return [tr("from {place}").format(place=here)]
    if not line.steps:
        return [tr("stays: {place}").format(place=here)]
    return [
        tr("to {place} {moment}").format(place=names[step.place_id], moment=words.moment(step.at))
        for step in line.steps
    ]


_LEAST_MINOR: Final = 0.5
"""Half of the smallest coin is nothing ..."""

_LEAST_FRUIT: Final = 0.5
"""... and so is half a fruit."""


def cost_words(cost: "PinCost", words: Formats, priced: bool) -> str:
    """``"costs about 14.20 EUR and 9 fruit; 2 other batches go otherwise"``.

    Where no fruit of the season is ``priced`` the cost is told in fruit alone.
    """
    if cost.broken_pins:
        return tr("cannot be kept: {reason}").format(
            reason=broken_words(cost.broken_pins[0].reason)
        )
    parts = [_money(cost, words) if priced else _fruit(cost.cost_minor, words)]
    others = len({line.batch_id for line in cost.moves if line.batch_id})
    if others:
        text = tr_n("another batch changes too", "{n} other batches change too", others)
        parts.append(text)
    return "; ".join(parts)


def _money(cost: "PinCost", words: Formats) -> str:
    if cost.cost_minor < _LEAST_MINOR:
        return tr("costs nothing")
    money = words.money(round(cost.cost_minor))
    if cost.fruit < _LEAST_FRUIT:
        return tr("costs about {money}").format(money=money)
    return tr("costs about {money} and {count} fruit").format(
        money=money, count=words.number(cost.fruit)
    )


def _fruit(minor: float, words: Formats) -> str:
    from ripenroom.season.plans.demand import UNPRICED_MINOR

    fruit = minor / UNPRICED_MINOR
    if fruit < _LEAST_FRUIT:
        return tr("costs nothing")
    return tr("costs {count} fruit").format(count=words.number(fruit))
