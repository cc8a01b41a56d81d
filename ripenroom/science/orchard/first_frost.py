"""When the first frost comes, and what it does to fruit on the tree.

The date of a season's first frost is taken as Normal, as tables of freeze probabilities have long
been (Thom 1959, Monthly Weather Review 87:136-144; from memory). Days are numbers on any one
calendar, as days of the year; the chance of a day is that of the night which ends on it.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.compiled import ndtr, ndtri, stdtr, stdtrit
from ripenroom.science.softening import Floats, FloatsLike

LIGHT_C: Final = 0.0
"""Air temperature (C) of a light frost: a freeze, 32 F."""

HARD_C: Final = -2.2
"""Air temperature (C) of a hard frost: 28 F (National Weather Service, Jackson, frost/freeze)."""

FALLEN_AFTER_LIGHT: Final = (0.25, 0.5, 0.75, 1.0)
"""Share of the fruit on a tree that has fallen so many days after a light frost. That all of it
lets go within four days was said by one grower of pawpaws (durgan.org, October 2019); that it goes
evenly is an estimate."""

FALLEN_AFTER_HARD: Final = (1.0,)
"""After a hard frost all of it is lost at once: common practice, no source."""


def left_after_frost(days_since: FloatsLike, lowest_c: FloatsLike) -> Floats:
    """Share of the fruit that hung which still hangs so many days after a night of frost, whose
    lowest temperature (C) says whether it was a hard one; arguments broadcast. Before it, all.

    >>> left_after_frost([0.0, 1.0, 4.0], -1.0).tolist()
    [1.0, 0.75, 0.0]
    """
    since = np.asarray(days_since, float)
    light, hard = (
        np.interp(since, np.arange(len(fallen) + 1.0), [0.0, *fallen])
        for fallen in (FALLEN_AFTER_LIGHT, FALLEN_AFTER_HARD)
    )
    return np.asarray(1.0 - np.where(np.asarray(lowest_c, float) <= HARD_C, hard, light))


_TENTH = float(ndtri(0.1))

USUAL_SD_DAYS: Final = 10.0
"""How much first frosts usually differ from year to year, in days. From the published levels of one
station: 14 days from one chance in ten to even odds is 10.9 (W. J. Moyer 1970, Georgetown,
Delaware, http://www.rec.udel.edu/misc/Frost%20dates.htm)."""

_USUAL_COUNTS_AS = 4.0
"""Of how many seasons' weight the usual spread is beside a grower's own dates (an estimate)."""

NIGHT_SD_C: Final = 4.5
"""How much the lowest temperatures of nights at one time of the year differ (C): at Clemson, South
Carolina, 1930-2020, by 3.3 in September and 4.9 in October about the day's own mean (worked out
from the station's daily record, GHCND USC00381770)."""


@dataclass(frozen=True, slots=True)
class FirstFrost:
    """The day of the first frost: Normal, or a Student's t where it comes from few seasons.

    ``seasons`` are the degrees of freedom, inf for a Normal; ``comes`` is the share of seasons in
    which there is such a frost at all.
    """

    mean_day: float
    sd_days: float
    seasons: float = np.inf
    comes: float = 1.0

    def by(self, day: FloatsLike) -> Floats:
        """Chance that it has come by the end of this day."""
        z = (np.asarray(day, float) - self.mean_day) / self.sd_days
        return np.asarray(self.comes * _cdf(z, self.seasons))

    def level(self, chance: FloatsLike) -> Floats:
        """The day by which it comes with this chance; nan where it never gets so likely."""
        share = np.asarray(chance, float) / self.comes
        with np.errstate(invalid="ignore"):
            z = _quantile(share, self.seasons)
        return np.where(share < 1.0, self.mean_day + self.sd_days * z, np.nan)

    def hazard(self, days: FloatsLike) -> Floats:
        """Chance of each day that it comes then, if it has not come before."""
        day = np.asarray(days, float)
        before, after = self.by(day - 0.5), self.by(day + 0.5)
        return np.asarray((after - before) / np.maximum(1.0 - before, 1e-12))


# scipy.stats has both under one name, and takes longer to import than all else of the program.
def _cdf(z: Floats, freedom: float) -> Floats:
    return np.asarray(ndtr(z) if np.isinf(freedom) else stdtr(freedom, z))


def _quantile(share: Floats, freedom: float) -> Floats:
    if np.isinf(freedom):
        return np.asarray(ndtri(share))
    # At nothing stdtrit gives the upper end.
    return np.where(share == 0.0, -np.inf, stdtrit(freedom, share))


def from_two_days(even_odds: float, one_in_ten: float) -> FirstFrost:
    """From the day by which half of all seasons have had a frost, and the one by which one in ten.

    Raises ``ValueError`` unless the second is before the first.
    """
    if not one_in_ten < even_odds:
        raise ValueError("one season in ten has its frost before half of them do")
    return FirstFrost(even_odds, (one_in_ten - even_odds) / _TENTH)


def from_first_days(first_days: FloatsLike) -> FirstFrost:
    """From the day of each season's first frost, nan for a season that had none.

    Few seasons tell little of how much they differ, so :data:`USUAL_SD_DAYS` counts beside them.
    Raises ``ValueError`` if no season had one.
    """
    every = np.asarray(first_days, float)
    days = every[np.isfinite(every)]
    if not days.size:
        raise ValueError("no season had a frost")
    freedom = _USUAL_COUNTS_AS + days.size - 1.0
    squares = float(np.square(days - days.mean()).sum())
    variance = (_USUAL_COUNTS_AS * USUAL_SD_DAYS**2 + squares) / freedom
    sd = float(np.sqrt(variance * (1.0 + 1.0 / days.size)))
    comes = 1.0 if days.size == every.size else (days.size + 0.5) / (every.size + 1.0)
    return FirstFrost(float(days.mean()), sd, freedom, comes)


def with_forecast_nights(
    hazard: FloatsLike,
    forecast_c: FloatsLike,
    error_sd_c: FloatsLike,
    frost_c: FloatsLike = LIGHT_C,
) -> Floats:
    """Chance of frost per night, once a lowest temperature is forecast for some of them.

    ``hazard`` is the chance without a forecast, nan where nothing is known: there the forecast
    speaks alone. ``forecast_c`` is nan where there is none, and
    ``error_sd_c`` the forecast's own error. What the season tells of that night is a Normal about
    the temperature that gives its chance; the forecast is weighed against it by their variances.
    """
    chance, forecast, error = np.broadcast_arrays(
        *(np.asarray(x, float) for x in (hazard, forecast_c, error_sd_c))
    )
    usual_c = np.asarray(frost_c, float) - NIGHT_SD_C * ndtri(np.clip(chance, 1e-6, 1.0 - 1e-6))
    weight = NIGHT_SD_C**2 / (NIGHT_SD_C**2 + np.square(error))
    weight = np.where(np.isnan(chance), 1.0, weight)
    mean_c = forecast + (1.0 - weight) * np.nan_to_num(usual_c - forecast)
    sd_c = np.sqrt(weight) * np.maximum(error, 1e-3)
    told = ndtr((np.asarray(frost_c, float) - mean_c) / sd_c)
    return np.where(np.isnan(forecast), chance, told)


def first_frost_chances(hazard: FloatsLike) -> Floats:
    """Chance of each day that the first frost comes then, from the chances given none so far, along
    the last axis."""
    chance = np.asarray(hazard, float)
    spared = np.cumprod(1.0 - chance, axis=-1)
    before = np.concatenate([np.ones_like(spared[..., :1]), spared[..., :-1]], axis=-1)
    return np.asarray(before * chance)
