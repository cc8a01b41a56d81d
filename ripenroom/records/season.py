"""The season itself: where and when it runs, and in which units it is read."""

import os
from collections.abc import Mapping
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

_US_TERRITORIES = frozenset({"US", "LR", "MM"})
"""Countries that measure in US units (CLDR, supplemental measurement data; from memory)."""


def usual_units(locale: str = "", environment: Mapping[str, str] = os.environ) -> UnitSystem:
    """In which units a season is read where nobody has chosen any: those of the user's country.

    It is the country of ``LC_ALL`` or ``LC_MEASUREMENT``, in this order (POSIX.1-2017, Base
    Definitions, section 8.2, has this order for every category; that of measures is glibc's); where
    neither is set, that of ``locale`` (such as ``"en_US"``, as a desktop knows it), then ``LANG``.

    >>> usual_units("en_US", {}), usual_units("en_US", {"LC_MEASUREMENT": "de_DE.UTF-8"})
    ('us', 'metric')
    """
    says = (environment.get("LC_ALL"), environment.get("LC_MEASUREMENT"), locale,
            environment.get("LANG"))  # fmt: skip
    name = next(filter(None, says), "").partition(".")[0].partition("@")[0]
    return "us" if name.rpartition("_")[2] in _US_TERRITORIES else "metric"


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
