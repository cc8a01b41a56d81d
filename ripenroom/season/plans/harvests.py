"""What is still to come of each cultivar of a crop, as far as the picks so far tell.

Of one that was picked its own picks say it, by the course that a harvest takes
(:mod:`ripenroom.science.orchard.harvest_course`). What other cultivars of the farm bear tells of
one that has just begun.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean
from typing import Protocol

from ripenroom.records.batch import Batch
from ripenroom.science.orchard.harvest_course import Course, course_of
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked
from ripenroom.season.plans.pick_rhythm import Rhythm, rhythm_of
from ripenroom.season.state import SeasonState

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

DAY_TO_DAY = 0.3
"""Standard deviation of what one day's pick brings, as a share of what is usual these days: a
quarter to a third (common practice, no source)."""

ONLY_DOUBT = 0.6
"""The same of a pick of which one day of picking is all that tells (an estimate)."""

FEWEST = 5
"""Likely picks of fewer fruit are left out."""

Picked = Sequence[tuple[date, Batch]]
"""Batches of one crop, each with its day."""


@dataclass(frozen=True, slots=True)
class Due:
    """A pick to come ``on`` a day: what comes due from ``since`` until ``until``, in days from the
    last pick on; of the ``first`` all that has come due before too. It takes the fruit of so many
    ``gaps``."""

    on: date
    since: float
    until: float
    first: bool
    gaps: float


class Harvest(Protocol):
    """What is still to come of a cultivar, or of what has none (None), that was picked on so many
    ``pick_days``."""

    @property
    def cultivar_id(self) -> str | None: ...

    @property
    def pick_days(self) -> frozenset[date]: ...

    def comes(self, due: Due) -> tuple[float, float, float]:
        """Fruit of a pick that is due; and its sds, of how much single picks bring and of how the
        harvest goes on."""
        ...

    def over(self, after: float) -> bool:
        """Whether next to nothing comes later than so many days after the farm's last pick."""
        ...


@dataclass(frozen=True, slots=True)
class Begun:
    """A harvest that was picked on these days, last so many days ``ago`` when the farm picked last.

    How ``likely`` it goes on falls while a pick that was due is not made. ``course`` is None where
    nothing tells how many fruit there are: then ``once`` as many as were picked come within a
    ``gap``.
    """

    cultivar_id: str | None
    pick_days: frozenset[date]
    ago: float
    gap: float
    likely: float
    course: Course | None
    once: float

    def comes(self, due: Due) -> tuple[float, float, float]:
        """As any harvest says it."""
        since = 0.0 if due.first else self.ago + due.since
        until = self.ago + due.until
        if self.course is None:
            part = max(min(until, self.gap) - since, 0.0) / self.gap
            fruit = self.likely * part * self.once
            return fruit, ONLY_DOUBT * fruit, 0.0
        mid, sd = self.course.comes(since, until)
        of_picks = DAY_TO_DAY / math.sqrt(len(self.pick_days))
        return self.likely * mid, self.likely * mid * of_picks, self.likely * sd

    def over(self, after: float) -> bool:
        """As any harvest says it."""
        if self.course is None:
            return self.ago + after >= self.gap
        return self.course.comes(self.ago + after, math.inf)[0] < FEWEST

    @property
    def known(self) -> bool:
        """Whether its own picks tell how many fruit there are."""
        return self.course is not None and len(self.pick_days) > 1


def begun(state: SeasonState, crop: str, picked: Picked, rhythm: Rhythm) -> list[Begun]:
    """What was picked of a crop in this harvest, by cultivar; what is over is not likely."""
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
        its = rhythm_of(list(own))
        if its.only:
            its = replace(its, gap=rhythm.gap)
        shortest = max(_SHORTEST_DAYS, _SHORTEST_GAPS * its.gap)
        likely = max(1.0 - its.overdue(state.today) / shortest, 0.0)
        others = [one.usual_log_all for of, one in courses.items() if of != kind]
        course = _course(kind, own, others) if others else courses.get(kind)
        ago, once = (rhythm.last - its.last).days, own[its.last]
        found.append(Begun(kind, frozenset(own), ago, its.gap, likely, course, once))
    return found


def alike_sd(others: int) -> float:
    """What the log of all fruit of a cultivar is off the mean of so many others (an sd)."""
    return ALIKE_LOG_SD * math.sqrt(1.0 + 1.0 / others)


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
        usual = fmean(others), alike_sd(len(others))
    return course_of(
        [(day - days[0]).days for day in days],
        [fruit[day] for day in days],
        spread,
        SPREAD_LOG_SD,
        DAY_TO_DAY,
        usual,
    )
