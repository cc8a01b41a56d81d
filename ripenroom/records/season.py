"""The season itself: where and when it runs, and in which units it is read."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.limits import (
    CratesPerEvening,
    Currency,
    Moment,
    MoveCostMinor,
    Name,
    SeasonId,
    Zone,
)

_WITHOUT_CENTS = frozenset(
    {"CLP", "ISK", "JPY", "KRW", "PYG", "UGX", "VND"}
)  # ISO 4217, exponent 0

UnitSystem = Literal["metric", "us"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonDetails:
    """One harvest season of one farm; a season file holds exactly one.

    ``zone`` is an IANA time zone name; days begin and end there. ``practice_now`` (UTC), when
    set, is where the clock stands: a practice season is always read as on that moment.
    ``crates_moved_per_evening`` is how many crates hands can move in one evening, if there is a
    limit. ``crate_move_minor`` is what carrying a crate once costs (minor units of the currency);
    None: a small part of what a crate brings.
    """

    id: SeasonId
    name: Name
    zone: Zone
    first_day: date
    units: UnitSystem
    currency: Currency  # ISO 4217 code
    practice_now: Moment | None = None
    crates_moved_per_evening: CratesPerEvening | None = None
    crate_move_minor: MoveCostMinor | None = None

    @property
    def currency_decimals(self) -> int:
        """Decimals of an amount of the currency; its minor unit is the last of them."""
        return 0 if self.currency in _WITHOUT_CENTS else 2
