"""Picks that the last picks of a crop make likely: as often and as much as these days.

All of it goes by the farm's own rhythm and is counted from its last pick, so that a day on which
nothing happens changes next to nothing: what is due comes tomorrow instead.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from ripenroom.records.batch import Batch
from ripenroom.records.market import ExpectedPick
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked
from ripenroom.season.orchard.frost import spared_of_picked
from ripenroom.season.plans.plan import LikelyPick, likely_range
from ripenroom.season.state import SeasonState

LAST_GAPS = 5
"""So many of the last gaps between days of picking tell how often a farm picks."""

MOST_GAP = 10.0
"""Fruit is not picked more seldom than this (days): a longer gap is a pause."""

ONLY_GAP = 3.0
"""Days from the only day of picking to the next: trees are picked over every two or three days
(common practice, no source)."""

LOOK_BACK_DAYS, LOOK_BACK_GAPS = 7.0, 3.0
"""Picks of so many days, and of so many gaps, up to the last tell how much is picked these days."""

USUAL_SPAN = timedelta(days=28)
"""So long a farm picks a crop from its first pick on, where its cultivars are not written down: an
estimate, for a few cultivars that follow each other."""

CULTIVAR_SPAN = timedelta(days=21)
"""So long a farm picks one cultivar: a tree is picked over for two to three weeks (common practice,
no source)."""

_SHORTEST_DAYS, _SHORTEST_GAPS = 7.0, 2.0
"""A harvest is not over at once after a pick, however long it has lasted. And no sooner is it
taken for over because a pick that was due is not made."""

_TOGETHER_DAYS = 2.0
"""Likely picks lie no nearer to each other; each has the fruit of all days until the next."""

DAY_TO_DAY = 0.3
"""Standard deviation of what one day's pick brings, as a share of what is usual these days: a
quarter to a third (common practice, no source)."""

ONLY_DOUBT = 0.6
"""The same of a pick of which one day of picking is all that tells (an estimate)."""

GAP_DOUBT = 0.6
"""The same of all picks where one gap is all that tells how often a farm picks; of so many gaps
that part of it (an estimate): two days on end may be one round of the trees, or the rhythm."""

SPAN_DOUBT = timedelta(days=7)
"""Standard deviation of the day on which the last pick is made: an estimate, a quarter of
:data:`USUAL_SPAN`, which is itself no more than one."""

FEWEST = 5
"""Likely picks of fewer fruit are left out."""

Picked = Sequence[tuple[date, Batch]]
"""Batches of one crop, each with its day."""


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How a crop is picked: every ``gap`` days, last on ``last``. ``looked_back`` is the first day
    that tells how much, ``picks`` the days of picking from then on, and ``days`` the time in which
    their fruit ripened: before each of them a gap. Of so many of the last ``gaps`` it is the middle
    one; of an only day of picking, which has none, the usual one."""

    gap: float
    last: date
    looked_back: date
    picks: int
    days: float
    gaps: int

    @property
    def only(self) -> bool:
        """Whether there was but one day of picking."""
        return not self.gaps

    @property
    def rate_sd(self) -> float:
        """How far off the fruit of a day may be, as a share of it, because the days looked back on
        were few."""
        if self.only:
            return ONLY_DOUBT
        return math.hypot(DAY_TO_DAY / math.sqrt(self.picks), GAP_DOUBT / self.gaps)

    @property
    def patience_days(self) -> float:
        """How long a harvest goes on at least, as far as a pick tells."""
        return max(_SHORTEST_DAYS, _SHORTEST_GAPS * self.gap)


def rhythm_of(on: Sequence[date]) -> Rhythm:
    """The rhythm of some days of picking; raises ``ValueError`` if there are none."""
    every = sorted(set(on))
    if not every:
        raise ValueError("no day of picking")
    last = every[-1]
    gaps = [(after - before).days for before, after in pairwise(every)][-LAST_GAPS:]
    gap = min(float(median(gaps)), MOST_GAP) if gaps else ONLY_GAP
    back = max(LOOK_BACK_DAYS, LOOK_BACK_GAPS * gap)
    late = [day for day in every if (last - day).days < back]
    return Rhythm(gap, last, late[0], len(late), (last - late[0]).days + gap, len(gaps))


def picks_from_last(
    state: SeasonState,
    crop: str,
    picked: Picked,
    places: Mapping[str, str],
    ends: Mapping[tuple[str, str | None], date],
    prefix: str,
) -> list[LikelyPick]:
    """Likely picks of a crop, in the order of their days, of what was ``picked`` of it so far; ids
    begin with ``prefix``.

    They fall off evenly to nothing at the end of the usual span of each cultivar, and end with
    frost. One day of picking makes one more of the same likely, in wide doubt: trees seldom bring
    all their fruit at once, but how often they are picked nobody knows yet. ``places`` are those
    that batches came into; nothing is likely from the day on from which nothing more comes
    (``ends``).
    """
    picked = [(day, batch) for day, batch in picked if batch.id in places]
    if not picked:
        return []
    rhythm = rhythm_of([day for day, _ in picked])
    place_id = _usual_place(picked, places, rhythm)
    kinds = _kinds(state, crop, picked, rhythm)
    over = ends.get((crop, None), date.max)
    due = [one for one in _due(rhythm, state.today, kinds) if one.on < over]
    first = min(day for day, _ in picked)
    spared = spared_of_picked(state, first, rhythm.last, [one.on for one in due])
    made: list[LikelyPick] = []
    for one, part in zip(due, spared, strict=True):
        here = [kind for kind in kinds if one.on < ends.get((crop, kind.cultivar_id), date.max)]
        unfrozen = one.likely * one.fruit_days * sum(kind.still(one.middle) for kind in here)
        count = round(unfrozen * part)
        if count < FEWEST:
            continue
        pick_id = f"{prefix}{crop} {one.on}"
        pick = ExpectedPick(id=pick_id, crop=crop, on=one.on, count=count, place_id=place_id)
        each = ONLY_DOUBT if rhythm.only else DAY_TO_DAY
        of_day = count * each / math.sqrt(max(one.fruit_days / rhythm.gap, 1.0))
        of_rate = count * rhythm.rate_sd
        moved = sum(kind.moved_by_end(one.middle) for kind in here)
        of_span = one.likely * one.fruit_days * part * moved
        of_end = math.hypot(of_span, unfrozen * math.sqrt(part * (1.0 - part)))
        about = likely_range(count, math.hypot(of_day, of_rate, of_end))
        made.append(LikelyPick(pick, about, of_day, of_rate, of_end, rhythm.picks))
    return made


@dataclass(frozen=True, slots=True)
class _Kind:
    """A cultivar, or what has none, that brings so many fruit ``per_day`` and falls off evenly to
    nothing within so many days after the last pick."""

    cultivar_id: str | None
    per_day: float
    ahead_days: float

    def still(self, after: float) -> float:
        """Fruit a day so many days after the last pick."""
        return self.per_day * max(1.0 - after / self.ahead_days, 0.0)

    def moved_by_end(self, after: float) -> float:
        """How far the line down to nothing moves there when its end does as it usually may."""
        if after >= self.ahead_days:
            return 0.0
        return self.per_day * after * SPAN_DOUBT.days / self.ahead_days**2


def _kinds(state: SeasonState, crop: str, picked: Picked, rhythm: Rhythm) -> list[_Kind]:
    """What was picked these days, each cultivar with the end of its own span."""
    mass_kg = fruit_mass_kg(state.crops[crop])
    brought: dict[str | None, float] = {}
    first: dict[str | None, date] = {}
    latest: dict[str | None, date] = {}
    for day, batch in picked:
        kind = batch.cultivar_id
        first[kind] = min(day, first.get(kind, day))
        latest[kind] = max(day, latest.get(kind, day))
        if day >= rhythm.looked_back:
            brought[kind] = brought.get(kind, 0.0) + fruit_picked(batch, mass_kg)
    found = []
    for kind, fruit in brought.items():
        span = USUAL_SPAN if kind is None else CULTIVAR_SPAN
        since_days = (rhythm.last - latest[kind]).days
        ahead = max((first[kind] + span - rhythm.last).days, rhythm.patience_days - since_days)
        if ahead > 0.0:
            found.append(_Kind(kind, fruit / rhythm.days, ahead))
    return found


@dataclass(frozen=True, slots=True)
class _Due:
    """A pick to come ``on`` a day, with the fruit of so many days, which ripens around ``middle``
    days after the last pick. How ``likely`` it is falls while one that was due is not made."""

    on: date
    fruit_days: float
    middle: float
    likely: float


def _due(rhythm: Rhythm, today: date, kinds: Sequence[_Kind]) -> Iterator[_Due]:
    """The next pick a gap after the last, or tomorrow where that is over; then on by the same."""
    at_once = max(1, math.ceil(_TOGETHER_DAYS / rhythm.gap))
    fruit_days = at_once * rhythm.gap
    since = max((today - rhythm.last).days + 1.0, rhythm.gap)
    overdue = since - rhythm.gap
    likely = max(1.0 - overdue / rhythm.patience_days, 0.0)
    most = max((kind.ahead_days for kind in kinds), default=0.0)
    while likely > 0.0 and since < most + rhythm.gap:
        middle = since + (at_once - 2) * rhythm.gap / 2.0
        on = rhythm.last + timedelta(days=math.floor(since + 0.5))
        yield _Due(on, fruit_days, middle, likely)
        if rhythm.only:
            return
        since += fruit_days


def _usual_place(picked: Picked, places: Mapping[str, str], rhythm: Rhythm) -> str:
    late = [batch for day, batch in picked if day >= rhythm.looked_back]
    return Counter(places[batch.id] for batch in late).most_common(1)[0][0]
