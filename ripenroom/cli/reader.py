"""Who reads what a command prints: the season, the plan, and the environment's locale."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field

from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.projection import Projection
from ripenroom.season.season import Season
from ripenroom.texts import locale_of
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
        self.words = Formats(locale_of(os.environ), season.book.season, season.zone)
        self.plans: PlanInHand = plans or _NoPlan()

    def projection(self) -> Projection:
        """Where every batch stands as on the season's now."""
        return self.season.projection()
