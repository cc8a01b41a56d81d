"""One line of the queue in words: what a listener hears, and what stands beneath the queue.

What is planned for a batch is told as well.
"""

from datetime import date

from ripenroom.texts import tr, tr_n
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary, QueuePlan
from ripenroom.window.queue.scene import ExpectedPickLine, Scene
from ripenroom.window.queue.time_view import span_of
from ripenroom.wording.batch_forecast import batch_forecast, state_at
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import fruit_name
from ripenroom.wording.plan.itineraries import crates_words


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


def subject(scene: Scene, line: int, words: Formats) -> str:
    """Which fruit and where: ``"31 pawpaws, early rows, P-0914-2, Cold room"``."""
    facts, left = scene.facts, float(scene.projection.left[line])
    fruit = tr("{count} {crop}").format(
        count=words.number(left), crop=fruit_name(scene.crops, facts.crop_keys[line], left)
    )
    parts = [fruit, facts.cultivars[line], facts.codes[line], facts.places[line]]
    return ", ".join(part for part in parts if part)


def line_words(scene: Scene, line: int, words: Formats) -> str:
    """The whole line in one sentence."""
    gate = scene.facts.gates[line]
    return f"{subject(scene, line, words)}: {batch_forecast(scene.projection, line, gate, words)}"


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
    state = state_at(scene.projection, line, float(scene.facts.picked_h[line]), noon_h)
    return tr("{day}: {state}").format(day=said, state=state)
