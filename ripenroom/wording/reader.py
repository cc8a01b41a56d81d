"""What sentences are made from: an open season, how its reader writes numbers, and the plan."""

from collections.abc import Mapping
from typing import Protocol

from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.projection import Projection
from ripenroom.season.season import Season
from ripenroom.wording.formats import Formats


class PlanInHand(Protocol):
    """The plan that is shown, as far as there is one."""

    @property
    def plan(self) -> Plan | None:
        """The plan; None before there is one."""

    @property
    def if_left(self) -> Mapping[PlannedItinerary, Delay]:
        """What it costs to leave crates where they are until tomorrow."""


class Reader(Protocol):
    """Who reads: the window's session, or one command of the command line."""

    @property
    def season(self) -> Season:
        """The open season."""

    @property
    def words(self) -> Formats:
        """How numbers, days and money are written."""

    @property
    def plans(self) -> PlanInHand:
        """The season's plan."""

    def projection(self) -> Projection:
        """Where every batch stands now."""
