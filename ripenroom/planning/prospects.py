"""What the science expects of fruit on many journeys: how much of it will be saleable, and past.

Fruit is saleable on a market day if it is ready then, or will be within the days in which that
market's buyers eat it, and is not past when the market begins.
"""

from dataclasses import dataclass, fields

import numpy as np
from scipy.special import ndtr

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.science.spread import shares_beyond

_SMALLEST_SD = 1e-9


@dataclass(frozen=True, slots=True)
class Prospects:
    """Ages of fruit on journeys (first axis) at market days (second axis, or 1 where alike).

    Of the fruit: ``mean_age`` at pick, ``doubt_sd`` about it, ``fruit_sd`` from fruit to fruit,
    ``rate_sd`` of the log of the rate, ``ready_age``, and ``ripens``, the share that can ripen.
    ``at_start`` and ``at_horizon`` are the ages gained by the market's start and by the end of its
    buyers' days; ``past_age`` is from which fruit is past at the start; ``there`` is 1, or 0 where
    the fruit has used up an allowance by then.
    """

    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    rate_sd: Floats
    ready_age: Floats
    ripens: Floats
    past_age: Floats
    at_start: Floats
    at_horizon: Floats
    there: Floats

    def at(self, journey: Indices, day: Indices) -> "Prospects":
        """Single pairs of a journey and a market day, as columns of shape (pairs, 1)."""
        shape = self.at_start.shape
        pairs = (
            np.broadcast_to(getattr(self, f.name), shape)[journey, day][:, None]
            for f in fields(Prospects)
        )
        return Prospects(*pairs)

    def expected(self) -> Floats:
        """Expected saleable share of all fruit, with every uncertainty in it."""
        sd = np.hypot(self.fruit_sd, self.doubt_sd)
        ready = shares_beyond((self.ready_age,), self.mean_age, self.at_horizon, sd, self.rate_sd)
        past = shares_beyond((self.past_age,), self.mean_age, self.at_start, sd, self.rate_sd)
        return np.asarray(self.there * self.ripens * np.maximum(ready[0] - past[0], 0.0))

    def under(self, rate_z: Floats, age_z: Floats) -> tuple[Floats, Floats]:
        """Shares (saleable, past) if the rate and the mean age are so many sds off.

        What is left is how fruit differ. Both arguments broadcast against (pairs, truths).
        """
        factor = np.exp(rate_z * self.rate_sd)
        mean = self.mean_age + age_z * self.doubt_sd
        sd = self.fruit_sd + _SMALLEST_SD
        ready = ndtr((mean + self.at_horizon * factor - self.ready_age) / sd)
        past = ndtr((mean + self.at_start * factor - self.past_age) / sd)
        known = self.there * self.ripens
        lost = self.ripens * (past + (1.0 - self.there) * (1.0 - past))
        return np.asarray(known * np.maximum(ready - past, 0.0)), np.asarray(lost)
