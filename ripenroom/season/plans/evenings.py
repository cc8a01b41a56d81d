"""What is done on the next evenings, and what stays: only nouns, nothing is worked out here."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import PlannedLine


@dataclass(frozen=True, slots=True)
class Clearing:
    """So many ``crates`` of a line are cleared to make room: past since a time, or (None) given up
    by the plan for what is worth more."""

    line: "PlannedLine"
    crates: int
    past_since: datetime | None


@dataclass(frozen=True, slots=True)
class Carrying:
    """The next move of a line, or of several that are swapped. Without ``room`` the place that it
    goes to is full whatever goes out: it is pinned or written down, and comes all the same."""

    lines: "tuple[PlannedLine, ...]"
    room: bool = True


@dataclass(frozen=True, slots=True)
class Evening:
    """What is done on a day, in its order: clear first, then carry."""

    on: date
    clear: tuple[Clearing, ...]
    carry: tuple[Carrying, ...]


class StayReason(StrEnum):
    """Why crates stay where they are tonight."""

    MARKET = "market"
    MOVES_LATER = "moves later"
    SECOND_GRADE = "second grade"
    KEPT = "kept"
    HOPELESS = "hopeless"
    PAST = "past"
    NO_MARKET = "no market"
    NOT_READY = "not ready"
    TOO_LATE = "too late"
    NO_BUYER = "no buyer"


@dataclass(frozen=True, slots=True)
class Staying:
    """Crates of a line that stay, and why.

    ``until`` is when that ends: the market day, the next move, the sale for second grade; of what
    no one takes when it is past, of what is past since when. None where it never does. Hopeless is
    what will never ripen anywhere. Of what no one takes no market day ahead wants the crop, or it
    is not ready by the last one, or past before the first. ``market_day_id`` is the market day by
    which it is not ready: of what is kept, one that gets too little, or else the last.
    """

    line: "PlannedLine"
    crates: int
    reason: StayReason
    until: datetime | None = None
    market_day_id: str | None = None


@dataclass(frozen=True, slots=True)
class Tonight:
    """The next evenings, mostly one, and what stays by then, in the order of places and codes."""

    evenings: tuple[Evening, ...]
    stays: tuple[Staying, ...]
