"""Picks that the last picks of a crop make likely: as often as these, and as much as each cultivar
still bears.

The farm's own rhythm says when, and is counted from its last pick, so that a day on which nothing
happens changes next to nothing: what is due comes tomorrow instead. How much says the course of
each cultivar's harvest, which rises before it falls (:mod:`ripenroom.science.orchard.
harvest_course`), by its picks so far.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import fmean, median

from ripenroom.records.batch import Batch
from ripenroom.records.market import ExpectedPick
from ripenroom.science.orchard.harvest_course import Course, course_of
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked
from ripenroom.season.orchard.frost import spared_of_picked
from ripenroom.season.plans.plan import LikelyPick, likely_range
from ripenroom.season.state import SeasonState

LAST_GAPS = 5
"""So many of the last gaps between days of picking tell how often a farm picks."""

MOST_GAP = 10.0
"""Fruit is not picked more seldom than this (days): what is due comes by then."""

ONLY_GAP = 3.0
"""Days from the only day of picking to the next: trees are picked over every two or three days
(common practice, no source)."""

LOOK_BACK_DAYS, LOOK_BACK_GAPS = 7.0, 3.0
"""Picks of so many days, and of so many gaps, up to the last tell how much is picked these days."""

CULTIVAR_SPREAD_DAYS = 4.5
"""How much the fruit of a cultivar differ in the day on which they are due (sd): it is picked for
two to three weeks (common practice, no source), of which a tree takes two (Archbold, Koslanund &
Pomper 2003, HortTechnology 13:439-441) and rows lie some days apart."""

SEVERAL_SPREAD_DAYS = 7.2
"""The same of fruit of which the cultivar is not written down: four weeks, an estimate, for a few
cultivars that follow each other."""

SPREAD_LOG_SD = 0.5
"""How far crops and cultivars are from that (an estimate)."""

PAUSE_DAYS = 20
"""After so many days without a pick another harvest begins (an estimate)."""

ALIKE_LOG_SD = 0.6
"""How far the cultivars of a farm are from bearing alike many fruit, as the sd of the log (an
estimate: mostly half as many to twice as many)."""

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

_AHEAD_DAYS = 60.0
"""Nothing is said of days further ahead."""

FEWEST = 5
"""Likely picks of fewer fruit are left out."""

Picked = Sequence[tuple[date, Batch]]
"""Batches of one crop, each with its day."""


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How a crop is picked: every ``gap`` days, last on ``last``. ``looked_back`` is the first day
    that tells of these days. Of so many of the last ``gaps`` it is the middle one; of an only day
    of picking, which has none, the usual one."""

    gap: float
    last: date
    looked_back: date
    gaps: int

    @property
    def only(self) -> bool:
        """Whether there was but one day of picking."""
        return not self.gaps


def rhythm_of(on: Sequence[date]) -> Rhythm:
    """The rhythm of some days of picking; raises ``ValueError`` if there are none."""
    every = sorted(set(on))
    if not every:
        raise ValueError("no day of picking")
    last = every[-1]
    gaps = [(after - before).days for before, after in pairwise(every)][-LAST_GAPS:]
    gap = min(float(median(gaps)), MOST_GAP) if gaps else ONLY_GAP
    back = max(LOOK_BACK_DAYS, LOOK_BACK_GAPS * gap)
    looked_back = next(day for day in every if (last - day).days < back)
    return Rhythm(gap, last, looked_back, len(gaps))


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

    They come as often as the farm picks, each with the fruit of all days until the next, and end
    with the harvest of each cultivar, and with frost. A cultivar that was picked once, where none
    tells how many fruit there are, makes one more of the same likely, and one day of picking that
    alone, in wide doubt: trees seldom bring all their fruit at once, but how much of it this was
    nobody knows yet. ``places`` are those that batches came into; nothing is likely from the day on
    from which nothing more comes (``ends``).
    """
    picked = [(day, batch) for day, batch in picked if batch.id in places]
    if not picked:
        return []
    rhythm = rhythm_of([day for day, _ in picked])
    place_id = _usual_place(picked, places, rhythm)
    kinds = _kinds(state, crop, picked, rhythm)
    pick_days = len({day for kind in kinds for day in kind.days})
    over = ends.get((crop, None), date.max)
    due = [one for one in _due(rhythm, state.today, kinds) if one.on < over]
    first = min(day for day, _ in picked)
    spared = spared_of_picked(state, first, rhythm.last, [one.on for one in due])
    made: list[LikelyPick] = []
    for one, part in zip(due, spared, strict=True):
        here = [kind for kind in kinds if one.on < ends.get((crop, kind.cultivar_id), date.max)]
        found = [kind.comes(one) for kind in here]
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
        made.append(LikelyPick(pick, about, of_day, of_rate, of_end, pick_days))
    return made


@dataclass(frozen=True, slots=True)
class _Due:
    """A pick to come ``on`` a day: what comes due from ``since`` until ``until``, in days from the
    last pick on; of the ``first`` all that has come due before too. It takes the fruit of so many
    ``gaps``."""

    on: date
    since: float
    until: float
    first: bool
    gaps: float


@dataclass(frozen=True, slots=True)
class _Kind:
    """A cultivar, or what has none (None), that was picked on these ``days``, last so many days
    ``ago`` when the farm picked last.

    How ``likely`` it goes on falls while a pick that was due is not made. ``course`` is None where
    nothing tells how many fruit there are: then ``once`` as many as were picked come within a
    ``gap``.
    """

    cultivar_id: str | None
    days: Sequence[date]
    ago: float
    gap: float
    likely: float
    course: Course | None
    once: float

    def comes(self, due: _Due) -> tuple[float, float, float]:
        """Fruit of a pick that is due; and its sds, of how much single picks bring and of how the
        harvest goes on."""
        since = 0.0 if due.first else self.ago + due.since
        until = self.ago + due.until
        if self.course is None:
            part = max(min(until, self.gap) - since, 0.0) / self.gap
            fruit = self.likely * part * self.once
            return fruit, ONLY_DOUBT * fruit, 0.0
        mid, sd = self.course.comes(since, until)
        of_picks = DAY_TO_DAY / math.sqrt(len(self.days))
        return self.likely * mid, self.likely * mid * of_picks, self.likely * sd

    def over(self, after: float) -> bool:
        """Whether next to nothing comes later than so many days after the farm's last pick."""
        if self.course is None:
            return self.ago + after >= self.gap
        return self.course.comes(self.ago + after, math.inf)[0] < FEWEST


def _kinds(state: SeasonState, crop: str, picked: Picked, rhythm: Rhythm) -> list[_Kind]:
    """What was picked, by cultivar, as far as it still goes on."""
    mass_kg = fruit_mass_kg(state.crops[crop])
    brought: dict[str | None, dict[date, float]] = {}
    for day, batch in picked:
        on = brought.setdefault(batch.cultivar_id, {})
        on[day] = on.get(day, 0.0) + fruit_picked(batch, mass_kg)
    series = {kind: _since_pause(on) for kind, on in brought.items()}
    courses = {kind: _course(kind, own, None) for kind, own in series.items() if len(own) > 1}
    found = []
    for kind, own in series.items():
        if not own:
            continue
        days = sorted(own)
        gap = rhythm.gap if len(days) < 2 else rhythm_of(days).gap
        overdue = max((state.today - days[-1]).days + 1.0 - gap, 0.0)
        likely = max(1.0 - overdue / max(_SHORTEST_DAYS, _SHORTEST_GAPS * gap), 0.0)
        if not likely:
            continue
        others = [one.usual_log_all for of, one in courses.items() if of != kind]
        course = _course(kind, own, others) if others else courses.get(kind)
        ago, once = (rhythm.last - days[-1]).days, own[days[-1]]
        found.append(_Kind(kind, days, ago, gap, likely, course, once))
    return found


def _since_pause(fruit: Mapping[date, float]) -> dict[date, float]:
    """What was picked since the last pause: what came before it was another harvest."""
    found: dict[date, float] = {}
    for day in sorted(day for day, number in fruit.items() if number > 0.0):
        if found and (day - max(found)).days > PAUSE_DAYS:
            found.clear()
        found[day] = fruit[day]
    return found


def _course(
    cultivar_id: str | None, fruit: Mapping[date, float], others: Sequence[float] | None
) -> Course:
    """The course of a harvest, in days from its first pick on; of ``others`` on the farm the log of
    all their fruit is known."""
    days = sorted(fruit)
    spread = SEVERAL_SPREAD_DAYS if cultivar_id is None else CULTIVAR_SPREAD_DAYS
    usual = None
    if others:
        usual = fmean(others), ALIKE_LOG_SD * math.sqrt(1.0 + 1.0 / len(others))
    return course_of(
        [(day - days[0]).days for day in days],
        [fruit[day] for day in days],
        spread,
        SPREAD_LOG_SD,
        DAY_TO_DAY,
        usual,
    )


def _due(rhythm: Rhythm, today: date, kinds: Sequence[_Kind]) -> Iterator[_Due]:
    """The next pick a gap after the last, or tomorrow where that is over; then on by the same."""
    at_once = max(1, math.ceil(_TOGETHER_DAYS / rhythm.gap))
    fruit_days = at_once * rhythm.gap
    since = max((today - rhythm.last).days + 1.0, rhythm.gap)
    first = True
    while since < _AHEAD_DAYS and not all(kind.over(since - rhythm.gap) for kind in kinds):
        on = rhythm.last + timedelta(days=math.floor(since + 0.5))
        begins = since - rhythm.gap
        yield _Due(on, begins, begins + fruit_days, first, at_once)
        if rhythm.only:
            return
        since, first = since + fruit_days, False


def _usual_place(picked: Picked, places: Mapping[str, str], rhythm: Rhythm) -> str:
    late = [batch for day, batch in picked if day >= rhythm.looked_back]
    return Counter(places[batch.id] for batch in late).most_common(1)[0][0]
