"""Picks that the last picks of a crop make likely: as often as these, and as much as each cultivar
still bears.

The farm's own rhythm says when (:mod:`~ripenroom.season.plans.pick_rhythm`), and is counted from
its last pick, so that a day on which nothing happens changes next to nothing: what is due comes
tomorrow instead. How much says the harvest of each cultivar, which rises before it falls, by its
picks so far (:mod:`~ripenroom.season.plans.harvests`), or by those of the others where it has not
begun (:mod:`~ripenroom.season.plans.coming_cultivars`).
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from ripenroom.records.market import ExpectedPick
from ripenroom.season.orchard.frost import spared_of_picked
from ripenroom.season.plans.coming_cultivars import NotBegun, not_begun
from ripenroom.season.plans.harvests import (
    DAY_TO_DAY,
    FEWEST,
    ONLY_DOUBT,
    Due,
    Harvest,
    Picked,
    begun,
)
from ripenroom.season.plans.pick_rhythm import Rhythm, rhythm_of
from ripenroom.season.plans.plan import LikelyPick, likely_range
from ripenroom.season.state import SeasonState

_TOGETHER_DAYS = 2.0
"""Likely picks lie no nearer to each other; each has the fruit of all days until the next."""

GAP_DOUBT = 0.6
"""How far off all picks are (sd, as a share) where one gap is all that tells how often a farm
picks; of so many gaps that part of it (an estimate): two days on end may be one round of the trees,
or the rhythm."""

_AHEAD_DAYS = 60.0
"""Nothing is said of days further ahead."""


def picks_from_last(
    state: SeasonState,
    crop: str,
    picked: Picked,
    places: Mapping[str, str],
    ends: Mapping[tuple[str, str | None], date],
    known: frozenset[str],
    prefix: str,
) -> list[LikelyPick]:
    """Likely picks of a crop, in the order of their days, of what was ``picked`` of it so far; ids
    begin with ``prefix``.

    They come as often as the farm picks, each with the fruit of all days until the next, and end
    with the harvest of each cultivar, and with frost. A cultivar that was picked once, where none
    tells how many fruit there are, makes one more of the same likely, and one day of picking that
    alone, in wide doubt: trees seldom bring all their fruit at once, but how much of it this was
    nobody knows yet. Cultivars on record that are not ``known`` better are counted on before they
    begin. ``places`` are those that batches came into; nothing is likely from the day on
    from which nothing more comes (``ends``).
    """
    picked = [(day, batch) for day, batch in picked if batch.id in places]
    if not picked:
        return []
    rhythm = rhythm_of([day for day, _ in picked])
    place_id = _usual_place(picked, places, rhythm)
    so_far = begun(state, crop, picked, rhythm)
    going_on = [one for one in so_far if one.likely]
    pick_days = len({day for one in going_on or so_far for day in one.pick_days})
    overdue = rhythm.overdue(state.today)
    harvests: list[Harvest] = [*going_on, *not_begun(state.book, crop, so_far, known, overdue)]
    over = ends.get((crop, None), date.max)
    due = [one for one in _due(rhythm, state.today, harvests) if one.on < over]
    first = min(day for day, _ in picked)
    spared = spared_of_picked(state, first, rhythm.last, [one.on for one in due])
    made: list[LikelyPick] = []
    for one, part in zip(due, spared, strict=True):
        here = [own for own in harvests if one.on < ends.get((crop, own.cultivar_id), date.max)]
        found = [own.comes(one) for own in here]
        begins = tuple(
            own.cultivar_id
            for own, (fruit, _, _) in zip(here, found, strict=True)
            if isinstance(own, NotBegun) and part * fruit >= FEWEST
        )
        unfrozen = sum(fruit for fruit, _, _ in found)
        count = round(unfrozen * part)
        if count < FEWEST:
            continue
        pick_id = f"{prefix}{crop} {one.on}"
        pick = ExpectedPick(id=pick_id, crop=crop, on=one.on, count=count, place_id=place_id)
        each = ONLY_DOUBT if rhythm.only else DAY_TO_DAY
        of_day = count * each / math.sqrt(max(one.gaps, 1.0))
        of_gap = 0.0 if rhythm.only else unfrozen * GAP_DOUBT / rhythm.gaps
        of_rate = part * math.hypot(of_gap, *(of_picks for _, of_picks, _ in found))
        of_course = part * math.hypot(*(of_course for _, _, of_course in found))
        of_end = math.hypot(of_course, unfrozen * math.sqrt(part * (1.0 - part)))
        about = likely_range(count, math.hypot(of_day, of_rate, of_end))
        made.append(LikelyPick(pick, about, of_day, of_rate, of_end, pick_days, begins))
    return made


def _due(rhythm: Rhythm, today: date, harvests: Sequence[Harvest]) -> Iterator[Due]:
    """The next pick a gap after the last, or tomorrow where that is over; then on by the same."""
    at_once = max(1, math.ceil(_TOGETHER_DAYS / rhythm.gap))
    fruit_days = at_once * rhythm.gap
    since = max((today - rhythm.last).days + 1.0, rhythm.gap)
    first = True
    while since < _AHEAD_DAYS and not all(one.over(since - rhythm.gap) for one in harvests):
        on = rhythm.last + timedelta(days=math.floor(since + 0.5))
        begins = since - rhythm.gap
        yield Due(on, begins, begins + fruit_days, first, at_once)
        if rhythm.only:
            return
        since, first = since + fruit_days, False


def _usual_place(picked: Picked, places: Mapping[str, str], rhythm: Rhythm) -> str:
    late = [batch for day, batch in picked if day >= rhythm.looked_back]
    return Counter(places[batch.id] for batch in late).most_common(1)[0][0]
