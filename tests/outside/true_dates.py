"""The dates of an eat-by window, read off the fates of single fruit."""

from dataclasses import dataclass
from math import inf, isnan, nan

import numpy as np

from tests.outside.true_fruit import Fates
from tests.outside.true_pulp import Floats

A_TENTH_OF_A_DAY_H = 2.4
"""So far two dates may be apart."""

_STEP_H = 0.25


@dataclass(frozen=True, slots=True)
class TrueDates:
    """Hours since the pick, ``nan`` for what never comes.

    ``half_ready_h`` is when half of the fruit that can ripen is beyond ready, ``fifth_past_h`` when
    a fifth of it is past; the best day is looked for in ``hours``, along which ``ready`` is the
    ready share of all fruit.
    """

    opens_h: float
    half_ready_h: float
    best_h: float
    fifth_past_h: float
    ended_h: float
    hours: Floats
    ready: Floats

    @property
    def opens(self) -> bool:
        """Whether half of the fruit is ever ready; else the batch only ends."""
        return not isnan(self.opens_h)

    def ready_at(self, hour: float) -> float:
        """Ready share of all fruit at an hour; 0 where no best day is looked for.

        Just outside it is that of the first or last hour looked at.
        """
        first_h, last_h = float(self.hours[0]) - A_TENTH_OF_A_DAY_H, float(self.hours[-1])
        near = first_h <= hour <= last_h + A_TENTH_OF_A_DAY_H
        return float(np.interp(hour, self.hours, self.ready)) if near else 0.0

    def closes_h(self, best_h: float) -> float:
        """A fifth is past, but not before the best day; sooner if an allowance ends it all.

        What never opens has nothing to close: it lasts until it ends.
        """
        return min(max(self.fifth_past_h, best_h), self.ended_h) if self.opens else self.ended_h


def dates_of(fates: Fates, ended_h: float, until_h: float) -> TrueDates:
    """Opens when half of the fruit that can ripen is beyond ready, or on the best day if sooner.

    The best day is that of the largest ready share of all, until half of the fruit is past. An
    allowance that is used up at ``ended_h`` (inf if none is) ends everything.
    """
    opens_h = _share_gone_h(fates.ready_h, fates.weight, 0.5)
    fifth_past_h = _share_gone_h(fates.past_h, fates.weight, 0.2)
    last_h = min(_share_gone_h(fates.past_h, fates.weight, 0.5), ended_h, until_h)
    if not opens_h < min(ended_h, until_h):
        nothing = np.zeros(1)
        return TrueDates(nan, nan, nan, fifth_past_h, ended_h, nothing, nothing)
    first_h = max(float(fates.ready_h.min()), 0.0)
    hours = np.append(np.arange(min(first_h, last_h), last_h, _STEP_H), last_h)
    ready = fates.ready_and_past(hours)[0]
    best_h = float(hours[ready.argmax()])
    return TrueDates(min(opens_h, best_h), opens_h, best_h, fifth_past_h, ended_h, hours, ready)


def _share_gone_h(at_h: Floats, weight: Floats, share: float) -> float:
    order = np.argsort(at_h)
    so_far = np.cumsum(weight[order])
    number = int(np.searchsorted(so_far, share * so_far[-1]))
    return float(at_h[order][number]) if number < at_h.size else inf
