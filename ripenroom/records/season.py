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

    That is the first that is named by ``LC_ALL`` or ``LC_MEASUREMENT`` (an order that POSIX.1-2017,
    Base Definitions, section 8.2, has for every category; that of measures is glibc's), by
    ``locale`` (such as ``"en_US"``, as a desktop knows it), or by ``LANG``.

    >>> usual_units("en_US", {}), usual_units("en_US", {"LC_MEASUREMENT": "de_DE.UTF-8"})
    ('us', 'metric')
    """
    return (
        "us" if _territory("LC_MEASUREMENT", locale, environment) in _US_TERRITORIES else "metric"
    )


def usual_territory(locale: str = "", environment: Mapping[str, str] = os.environ) -> str:
    """The user's country by its letters (``"US"``), as far as money goes; empty if none is named.

    It is named as that of :func:`usual_units` is, by ``LC_MONETARY`` in place of the measures.
    """
    return _territory("LC_MONETARY", locale, environment)


def _territory(category: str, locale: str, environment: Mapping[str, str]) -> str:
    first, second, last = (environment.get(key) or "" for key in ("LC_ALL", category, "LANG"))
    for name in (first, second, locale, last):
        _, names_one, territory = name.partition(".")[0].partition("@")[0].rpartition("_")
        if names_one:
            return territory
    return ""


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
