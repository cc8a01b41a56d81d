"""What would help the plan most, and by how much it really would."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class HelpKind(StrEnum):
    """What there would be more of."""

    ROOM = "more crates in a place"
    MARKET_DAY = "one more market day"
    WANTED = "more wanted on a market day"
    HANDS = "more crates moved in an evening"
    SECOND_GRADE = "someone who takes second grade"


@dataclass(frozen=True, slots=True)
class Help:
    """One thing that would help, and what the plan gains if it is there.

    ``value_minor`` (minor units of the currency) and ``fruit`` (sold that would be lost otherwise)
    are those of the plan made again. ``amount`` is how much more: crates of room, fruit wanted,
    crates an evening, or fruit wanted on the extra market day. ``until`` is the last evening on
    which the room is full or hands are short, or when the market day begins. ``place_id``,
    ``market_day_id`` and ``crop`` are named where they matter; of an extra market day ``like_id``
    is the one whose hours, wants and prices it is thought to have.
    """

    kind: HelpKind
    value_minor: float
    fruit: float
    amount: int
    until: datetime | None
    place_id: str | None = None
    market_day_id: str | None = None
    crop: str | None = None
    like_id: str | None = None
