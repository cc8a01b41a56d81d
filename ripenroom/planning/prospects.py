"""What the science expects of fruit on many journeys: how much of it will be saleable, and past.

Fruit is saleable on a market day if it is not past when the market begins, and is ready then or
becomes ready where its buyers keep it, within the days in which they eat it.
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
    ``there`` is 1, or 0 where the fruit has used up an allowance by then.

    What depends on when a gate opens has a third axis, of courses that things can take, each as
    likely as its ``weight`` says: ``at_start`` and ``at_horizon``, the ages gained by the market's
    start and by the end of its buyers' days, ``horizon_rate_sd``, the doubt about the rate of the
    latter as ``rate_sd`` is of the former, and ``past_age``, from which fruit is past at the start.
    """

    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    rate_sd: Floats
    ready_age: Floats
    ripens: Floats
    there: Floats
    past_age: Floats
    at_start: Floats
    at_horizon: Floats
    horizon_rate_sd: Floats
    weight: Floats

    def at(self, journey: Indices, day: Indices) -> "Prospects":
        """Single pairs of a journey and a market day, as columns of shape (pairs, 1)."""
        shape = self.at_start.shape[:2]
        columns = (getattr(self, f.name) for f in fields(Prospects))
        return Prospects(
            *(
                np.broadcast_to(column, shape + column.shape[2:])[journey, day][:, None]
                for column in columns
            )
        )

    def expected(self) -> Floats:
        """Expected saleable share of all fruit, with every uncertainty in it."""
        sd = np.hypot(self.fruit_sd, self.doubt_sd)

        def beyond(age: Floats, gained: Floats, rate_sd: Floats) -> Floats:
            return shares_beyond((age,), self.mean_age, gained, sd, rate_sd)[0]

        share = np.zeros(self.at_start.shape[:2])
        for course in range(self.at_start.shape[2]):
            horizon, horizon_sd = self.at_horizon[:, :, course], self.horizon_rate_sd[:, :, course]
            ready = beyond(self.ready_age, horizon, horizon_sd)
            past = beyond(self.past_age[:, :, course], self.at_start[:, :, course], self.rate_sd)
            share += self.weight[:, :, course] * np.maximum(ready - past, 0.0)
        return np.asarray(self.there * self.ripens * share)

    def under(self, rate_z: Floats, age_z: Floats) -> tuple[Floats, Floats]:
        """Shares (saleable, past) if the rate and the mean age are so many sds off.

        What is left is how fruit differ, and when gates open. Both arguments broadcast against
        (pairs, truths).
        """
        mean = self.mean_age + age_z * self.doubt_sd
        sd = self.fruit_sd + _SMALLEST_SD
        saleable, lost = np.zeros(mean.shape), np.zeros(mean.shape)
        for course in range(self.at_start.shape[2]):
            by_horizon, by_start = (
                mean + gained[:, :, course] * np.exp(rate_z * rate_sd)
                for gained, rate_sd in (
                    (self.at_horizon, self.horizon_rate_sd[:, :, course]),
                    (self.at_start, self.rate_sd),
                )
            )
            ready = ndtr((by_horizon - self.ready_age) / sd)
            past = ndtr((by_start - self.past_age[:, :, course]) / sd)
            weight = self.weight[:, :, course] * self.ripens
            saleable += weight * self.there * np.maximum(ready - past, 0.0)
            lost += weight * np.where(self.there > 0.0, past, 1.0)
        return saleable, lost
