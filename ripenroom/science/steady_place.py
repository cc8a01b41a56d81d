"""Places of one steady temperature: how long processes take there, and a past folded into one.

Curves by temperature use the same equations as a journey does, where each clock runs evenly.

For plans thousands of ways on from where a batch is share the stays that are behind. Here these
are one stay, in a place of the batch's own whose settled pulp is as warm as the batch's pulp was.
Its clocks integrate that, which is exact at their knots, and straight in between as all clocks are.
"""

from collections.abc import Sequence

import numpy as np

from ripenroom.science.air import Air
from ripenroom.science.allowances import Allowance
from ripenroom.science.clock import Indices
from ripenroom.science.gated_ageing import days_at_full_speed, days_that_count, part_needs
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import TAIL_80, advance_at_quantile


def days_until_used(allowance: Allowance, celsius: Floats) -> Floats:
    """Days until an allowance is used up (or a need met) at each temperature (C); nan for never."""
    with np.errstate(divide="ignore"):
        days = 1.0 / allowance.use_per_day(celsius)
    return np.where(np.isfinite(days), days, np.nan)


def advance_until(
    age: float, mean_age: Floats, doubt_sd: Floats, rate_sd: Floats
) -> tuple[Floats, Floats, Floats]:
    """Age that fruit of ``mean_age``, known to within ``doubt_sd``, has to gain until half of it
    has come to an ``age``: low end of the 80 % range, middle and high end. ``rate_sd`` is the sd of
    the log of its rate; shapes broadcast."""
    sooner, later = (
        advance_at_quantile(z, age, mean_age, doubt_sd, rate_sd) for z in (TAIL_80, -TAIL_80)
    )
    return sooner, np.maximum(age - mean_age, 0.0), later


def days_behind_gate(days: Floats, need_days: Floats, width: float, meanwhile: float) -> Floats:
    """Days that ``days`` at full speed take behind a gate whose need takes ``need_days`` (nan:
    never met), any shape. The same as :class:`ripenroom.science.gated_ageing.GatedAgeing` there."""
    return days_at_full_speed(days, _openings(need_days, width), np.array(meanwhile))


def days_counted(days: Floats, need_days: Floats, width: float, meanwhile: float) -> Floats:
    """Of ``days`` in the place those at full speed that count behind such a gate."""
    return days_that_count(days, _openings(need_days, width), np.array(meanwhile))


def _openings(need_days: Floats, width: float) -> list[Floats]:
    """Days after which each part of a gate opens."""
    opens = np.where(np.isnan(need_days), np.inf, need_days)
    return [times * opens for times in part_needs(width)]


def straight_in_log(celsius: Floats, at_c: Sequence[float], values: FloatsLike) -> Floats:
    """Positive ``values`` published at some temperatures (C), with logs that run straight between
    them; nan outside."""
    logs = np.log(np.asarray(values, float))
    return np.asarray(np.exp(np.interp(celsius, at_c, logs, np.nan, np.nan)))


_CLOSE_H = 1.0
"""Knots lie so close after an arrival where the stay is short ..."""

_MOST_KNOTS = 40
"""... and there are so many in a long one: close while pulp settles, then farther apart."""


class TravelledAir:
    """What one batch met on its stays up to ``end_h``; afterwards as in the last of them.

    ``begin_h`` (stays,) never decreases, ``place`` (stays,) numbers the ``airs``, ``difference_k``
    is how much warmer (K) than settled the pulp arrives at each.
    """

    def __init__(
        self,
        begin_h: Floats,
        end_h: float,
        place: Indices,
        difference_k: Floats,
        airs: Sequence[Air],
    ) -> None:
        # Pulp comes here as it is: nothing is left to settle.
        self.half_cooling_h = 1.0
        self._begin_h, self._end_h = begin_h, end_h
        self._place, self._airs = place, airs
        self._difference_k = difference_k
        self._half_cooling_h = np.array([airs[number].half_cooling_h for number in place.tolist()])

    def air_c(self, hours: FloatsLike) -> Floats:
        """Air (C) around the batch."""
        at = np.asarray(hours, float)
        stay, found = self._stay(at), np.empty(at.shape)
        for number in np.unique(self._place[stay]):
            here = self._place[stay] == number
            found[here] = self._airs[number].air_c(at[here])
        return found

    def pulp_c(self, hours: FloatsLike) -> Floats:
        """Pulp (C) of the batch."""
        at = np.asarray(hours, float)
        stay, found = self._stay(at), np.empty(at.shape)
        places = self._place[stay]
        for number in np.unique(places):
            here = places == number
            found[here] = self._airs[number].pulp_c(at[here])
        since_h = np.maximum(at - self._begin_h[stay], 0.0)
        return np.asarray(
            found + self._difference_k[stay] * np.exp2(-since_h / self._half_cooling_h[stay])
        )

    def knots(self, start_h: float, end_h: float) -> Floats:
        """Close after every arrival, farther apart then; at start and end too."""
        lasts_h = np.diff(np.append(self._begin_h, self._end_h))
        number = np.clip(np.ceil(lasts_h / _CLOSE_H), 1, _MOST_KNOTS).astype(np.intp)
        stay = np.repeat(np.arange(number.size), number)
        step = np.arange(stay.size) - np.repeat(np.cumsum(number) - number, number)
        even = step / number[stay]
        long = lasts_h[stay] > _CLOSE_H * _MOST_KNOTS
        own = self._begin_h[stay] + lasts_h[stay] * np.where(long, even**2, even)
        inside = own[(own > start_h) & (own < end_h)]
        last = [self._end_h] if start_h < self._end_h < end_h else []
        return np.unique(np.concatenate([[start_h], inside, last, [end_h]]))

    def _stay(self, at: Floats) -> Indices:
        return np.maximum(np.searchsorted(self._begin_h, at, side="right") - 1, 0)


def travelled(stays: Stays, difference_k: Floats, airs: Sequence[Air]) -> list[TravelledAir]:
    """What each line met on all of its stays but the last; ``difference_k`` as by
    :class:`~ripenroom.science.unsettled.Unsettled`, in the shape of the stays."""
    last = stays.counts() - 1
    return [
        TravelledAir(
            stays.start_h[line, :count],
            float(stays.start_h[line, count]),
            stays.place[line, :count],
            difference_k[line, :count],
            airs,
        )
        for line, count in enumerate(last.tolist())
    ]
