"""One line of the queue in words: what a listener hears, and what stands beneath the queue.

What is planned for a batch is told as well, and what it costs to decide otherwise.
"""

import math
from datetime import date
from typing import TYPE_CHECKING, Final

from ripenroom.season.projection import EndCause, FruitState, Ranged
from ripenroom.texts import tr, tr_n
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary, QueuePlan
from ripenroom.window.queue.scene import ExpectedPickLine, Scene
from ripenroom.window.queue.time_view import span_of
from ripenroom.wording.batch_states_and_ends import end_words, gate_words, state_name
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import fruit_name
from ripenroom.wording.plan.itineraries import broken_words, crates_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PinCost


def line_plan_words(scene: Scene, line: int, words: Formats) -> str:
    """How all crates of a line are planned to go, one sentence each; empty while nothing is."""
    planned = scene.planned
    if planned is None:
        return ""
    pick = scene.expected_at(line)
    crop = scene.facts.crop_keys[line] if pick is None else pick.crop_key
    return "\n".join(f"{way_words(planned, way, crop, words)}." for way in scene.ways_of(line))


def way_words(planned: QueuePlan, way: QueueItinerary, crop: str, words: Formats) -> str:
    """``"3 crates for Village market, Sat 26 Sep: to Ripening room Thu 24 Sep, 18:00; 78 % good to
    sell, as these buyers eat it within 3 days"``, and whether that is pinned or packed."""
    line, parts = way.line, _steps(planned, way, words)
    if way.fate is ItineraryEnd.SOLD:
        parts.append(_good_to_sell(planned, way, crop, words))
    if line.packed:
        parts.append(tr("packed"))
    elif way.pinned:
        parts.append(tr("pinned"))
    crates = crates_words(line.crates)
    return tr("{crates} {goal}: {route}").format(
        crates=crates, goal=_goal(planned, way, words), route="; ".join(parts)
    )


def _good_to_sell(planned: QueuePlan, way: QueueItinerary, crop: str, words: Formats) -> str:
    """How much of it counts for its buyers, and within how many days they eat it."""
    days = planned.buyers_days.get((way.line.market_day_id or "", crop))
    if days is None:
        said = tr("{share} good to sell")
    elif not round(days):
        said = tr("{share} good to sell, as these buyers eat it the same day")
    else:
        said = tr_n(
            "{share} good to sell, as these buyers eat it within {n} day",
            "{share} good to sell, as these buyers eat it within {n} days",
            round(days),
        )
    return said.format(share=words.share(way.line.expected_ready_share))


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
        return [tr("until then in {place}").format(place=here)]
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


def subject(scene: Scene, line: int, words: Formats) -> str:
    """Which fruit and where: ``"31 pawpaws, early rows, P-0914-2, Cold room"``."""
    facts, left = scene.facts, float(scene.projection.left[line])
    fruit = tr("{count} {crop}").format(
        count=words.number(left), crop=fruit_name(scene.crops, facts.crop_keys[line], left)
    )
    parts = [fruit, facts.cultivars[line], facts.codes[line], facts.places[line]]
    return ", ".join(part for part in parts if part)


def forecast(scene: Scene, line: int, words: Formats) -> str:
    """When the batch is good, every forecast with its range; sentences without the last stop."""
    projection = scene.projection
    state = FruitState(int(projection.state[line]))
    cause = EndCause(int(projection.end_cause[line]))
    if projection.left[line] <= 0:
        return tr("none of it is left here")
    opens, closes = projection.opens_h, projection.closes_h
    waits = _waits_for(scene, line, words)
    if projection.ends_unready[line]:
        over = state is FruitState.PAST
        said = tr("not ready in time: {end}").format(end=_end(cause, over, closes, line, words))
        if over:
            return said
        if cause is EndCause.FREEZING:
            warmer = tr("make it warmer there, or move it")
            return f"{said}; {warmer}"
        # What waits for its cold is told the way out of that instead.
        way_out = waits or tr("move it somewhere warmer")
        return f"{said}; {way_out}"
    if waits and math.isnan(opens.mid[line]):
        return waits
    if state is FruitState.WONT_RIPEN:
        if scene.facts.gates[line] is not None:
            return tr("won't ripen as it is kept now")
        if projection.may_ripen[line]:
            return _may_not_ripen(float(projection.squeeze_again_h[line]), words)
        return tr("won't ripen; picked too hard")
    if math.isnan(opens.mid[line]):
        return tr("too cold to ripen; move it somewhere warmer")
    now_h = scene.now_h
    opening = tr("ready from {day} ({range})")
    if opens.high[line] <= now_h:
        opening = tr("ready since {day} ({range})")
    elif projection.may_be_ready[line]:
        opening = tr("may be ready now, probably from {day} ({range})")
    best = tr("best {day}").format(day=words.day(float(projection.best_h.mid[line])))
    end = _end(cause, bool(closes.high[line] <= now_h), closes, line, words)
    said = ", ".join([_edge(opening, opens, line, words), best, end])
    at_best = projection.ready_at_best
    share = tr("on the best day {share} are ready at once ({range})")
    share = share.format(
        share=words.share(float(at_best.mid[line])),
        range=words.share_range(float(at_best.low[line]), float(at_best.high[line])),
    )
    parts = [*([waits] if waits else []), said, share]
    wont = round(float(projection.wont_ripen[line] * projection.left[line]))
    if wont:
        parts.append(tr_n("{n} won't ripen", "{n} won't ripen", wont))
    if projection.uneven[line]:
        parts.append(tr("never half of it ready at once"))
    return "; ".join(parts)


def _may_not_ripen(again_h: float, words: Formats) -> str:
    if math.isinf(again_h):
        return tr("may not ripen; squeeze it again before you clear it")
    return tr("may not ripen; squeeze it again {day}").format(day=words.day(again_h))


def _end(cause: EndCause, over: bool, closes: Ranged, line: int, words: Formats) -> str:
    return _edge(f"{end_words(cause, over)} ({{range}})", closes, line, words)


def _waits_for(scene: Scene, line: int, words: Formats) -> str:
    """What it needs before it ripens; empty once it has had it."""
    gate = scene.facts.gates[line]
    if gate is None:
        return ""
    return gate_words(gate, float(scene.projection.gate_opens_h[line]), scene.now_h, words)


def _edge(text: str, edge: Ranged, line: int, words: Formats) -> str:
    return text.format(
        day=words.day(float(edge.mid[line])),
        range=words.day_range(float(edge.low[line]), float(edge.high[line])),
    )


def line_words(scene: Scene, line: int, words: Formats) -> str:
    """The whole line in one sentence."""
    return f"{subject(scene, line, words)}: {forecast(scene, line, words)}"


def line_and_plan(scene: Scene, line: int, day: date | None, words: Formats) -> str:
    """The whole line, how it is planned, and what it is around noon of a day."""
    pick = scene.expected_at(line)
    said = [] if pick is None else [pick_words(pick, scene, words)]
    if pick is None:
        said.append(f"{line_words(scene, line, words)}.")
    planned = line_plan_words(scene, line, words)
    said += [planned] if planned else []
    if pick is None and day is not None:
        said.append(f"{on_day(scene, line, day, words)}.")
    return "\n".join(said)


def pick_words(pick: ExpectedPickLine, scene: Scene, words: Formats) -> str:
    """``"Expected Sat 3 Oct: 40 pawpaws, early rows, into Cold room."``"""
    parts = [
        tr("{count} {crop}").format(
            count=words.number(pick.count),
            crop=fruit_name(scene.crops, pick.crop_key, pick.count),
        )
    ]
    parts += [pick.cultivar] if pick.cultivar else []
    return tr("Expected {day}: {fruit}, to {place}.").format(
        day=words.day(pick.on), fruit=", ".join(parts), place=pick.place
    )


def on_day(scene: Scene, line: int, day: date, words: Formats) -> str:
    """What the batch is around noon of a day: ``"Village market, Sat 26 Sep: ready"``."""
    first_h, last_h = span_of(day, scene.zone)
    noon_h = (first_h + last_h) / 2.0
    said = words.day(day)
    if markets := [band.name for band in scene.bands if band.first_h <= noon_h < band.last_h]:
        said = tr("{name}, {day}").format(name=", ".join(markets), day=said)
    return tr("{day}: {state}").format(day=said, state=_state_then(scene, line, noon_h))


def _state_then(scene: Scene, line: int, hour: float) -> str:
    projection = scene.projection
    opens, closes = projection.opens_h, projection.closes_h
    if hour < scene.facts.picked_h[line]:
        return tr("not picked yet")
    unready = bool(projection.ends_unready[line])
    if projection.state[line] == FruitState.WONT_RIPEN:
        return state_name(FruitState.WONT_RIPEN, bool(projection.may_ripen[line]))
    if not unready and math.isnan(opens.mid[line]):
        return state_name(FruitState.HOLDING)
    if hour >= closes.high[line]:
        return state_name(FruitState.PAST)
    if unready:
        if hour < closes.low[line]:
            return state_name(FruitState.HOLDING)
        return tr("not ready, or already past")
    if hour >= closes.low[line]:
        return tr("ready, or just past")
    if hour >= opens.high[line]:
        return state_name(FruitState.READY)
    if hour >= opens.low[line]:
        return state_name(FruitState.HOLDING, may_be_ready=True)
    return state_name(FruitState.HOLDING)
