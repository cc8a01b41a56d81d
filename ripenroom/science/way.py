"""What is known of each batch on its way from the moment that its age is known best.

Before any check that is the pick: the mean age ``mu`` and the rate ``k`` are doubted independently
of each other. A check tells how old fruit is *then*; afterwards whoever believes in a faster rate
must believe in a younger age at pick, so ``mu`` and ``ln k`` are correlated. With ``D`` the
reference days since pick,

    a(t) = mu + k D(t) = [mu + k D*] + k (D(t) - D*)

and there is a ``D*`` for which the bracket, the age at the *reference point*, is independent of
``k``; everything else can go on treating the two as such. The slope of the response to temperature
is doubtful too, and adds to the log of the rate by as much as the days to come are warmer or colder
than the reference temperature.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.science.batches import Batches
from ripenroom.science.clock import Indices
from ripenroom.science.gate import AnyAgeing
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats

_FAR_H = 24.0 * 365.0
_SMALLEST = 1e-12

_FEW_DAYS = 1e-3
"""Reference days over which a mean pace is still told from nothing."""


@dataclass(frozen=True, slots=True)
class Way:
    """Reference point of each batch and what is known from there; all of shape (batches,).

    ``from_days`` are reference days since the pick, ``age`` the mean age then, ``doubt_sd`` the sd
    of the doubt about it, ``rate_sd`` that of the log of the rate from there on. ``per_kj_mol`` is
    what a kJ/mol more of activation energy adds to that log.
    """

    from_days: Floats
    age: Floats
    doubt_sd: Floats
    rate_sd: Floats
    per_kj_mol: Floats

    def of(self, lines: Indices | slice) -> "Way":
        """The ways of some batches only."""
        return Way(*(getattr(self, f.name)[lines] for f in fields(Way)))


def way_of(batches: Batches, opens_h: Floats, ageing: AnyAgeing, slope: Progress) -> Way:
    """The way of every batch, with the doubts as they are felt on its way to its opening.

    ``slope`` counts ``d theta / d activation energy``; ``opens_h`` (batches,) is when each batch
    will about open, since that is the date it matters for. In one place that is exact; from place
    to place ranges of 80 % then cover 76 to 82 % of simulated truths.
    """
    earliest_h, latest_h = batches.picked_h + 1.0, batches.picked_h + _FAR_H
    checked = batches.checked
    if checked is not None:
        # A pace needs some way ahead of the last check, also where the opening is past.
        earliest_h = np.maximum(earliest_h, checked.known_h + 1.0)
    at_h = np.clip(opens_h, earliest_h, latest_h)[:, None]
    slope_then, days_then = ageing.since_opening(slope, at_h)[:, 0], ageing.at(at_h)[:, 0]
    if checked is None:
        relative = slope_then / np.maximum(days_then, 1e-9)
        rate_sd = np.hypot(batches.rate_sd, batches.slope_sd * relative)
        none = np.zeros(batches.picked_h.size)
        return Way(none, batches.mean_age, batches.doubt_sd, rate_sd, relative)

    known_h = checked.known_h[:, None]
    days, slope_days = ageing.at(known_h)[:, 0], ageing.since_opening(slope, known_h)[:, 0]
    relative = (slope_then - slope_days) / np.maximum(days_then - days, _FEW_DAYS)
    gain, lean = batches.rate_per_day * days, batches.rate_per_day * slope_days
    rate_variance, slope_variance = batches.rate_sd**2, batches.slope_sd**2
    variance = (
        rate_variance + 2.0 * relative * checked.rate_slope + relative**2 * slope_variance
    ) + _SMALLEST
    age_variance = (
        batches.doubt_sd**2
        + gain**2 * rate_variance
        + lean**2 * slope_variance
        + 2.0 * (gain * checked.age_rate + lean * checked.age_slope)
        + 2.0 * gain * lean * checked.rate_slope
    )
    together = (
        checked.age_rate
        + relative * checked.age_slope
        + gain * (rate_variance + relative * checked.rate_slope)
        + lean * (checked.rate_slope + relative * slope_variance)
    )
    from_days = days - together / (batches.rate_per_day * variance)
    doubt = np.sqrt(np.maximum(age_variance - together**2 / variance, _SMALLEST))
    # Of a rate that may be higher or lower by a factor, the mean is above the middle.
    age = batches.mean_age + batches.rate_per_day * from_days * (1.0 + variance / 2.0)
    return Way(from_days, age, doubt, np.sqrt(variance), relative)


def on_way(batches: Batches, way: Way) -> Batches:
    """The batches as their ways have them: age and doubt are those at the reference point."""
    return replace(batches, mean_age=way.age, doubt_sd=way.doubt_sd, checked=None)
