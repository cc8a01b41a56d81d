"""Who reads what a command prints: the season, the plan, and the environment's locale."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field

from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.projection import Projection
from ripenroom.season.season import Season
from ripenroom.wording.formats import Formats
from ripenroom.wording.reader import PlanInHand


@dataclass(frozen=True)
class _NoPlan:
    """Before there is a plan."""

    plan: Plan | None = None
    if_left: Mapping[PlannedItinerary, Delay] = field(default_factory=dict)


class CommandReader:
    """The reader of one command's answer; see :class:`ripenroom.wording.reader.Reader`."""

    def __init__(self, season: Season, plans: PlanInHand | None = None) -> None:
        self.season = season
        self.words = Formats(environment_locale(), season.book.season, season.zone)
        self.plans: PlanInHand = plans or _NoPlan()

    def projection(self) -> Projection:
        """Where every batch stands as on the season's now."""
        return self.season.projection()


def environment_locale(environment: Mapping[str, str] = os.environ) -> str:
    """The locale of dates and numbers: that of ``LC_ALL``, ``LC_TIME`` or ``LANG``, in this order
    (POSIX.1-2017, Base Definitions, section 8.2).

    >>> environment_locale({"LANG": "de_AT.UTF-8"}), environment_locale({"LC_ALL": "C.UTF-8"})
    ('de_AT', 'C')
    """
    for name in ("LC_ALL", "LC_TIME", "LANG"):
        if given := environment.get(name, ""):
            return given.partition(".")[0].partition("@")[0]
    return "C"
