"""What is known of every batch, as columns with a line for each: from its pick, and from checks.

:class:`BatchAges` begins as the picks alone tell it; :func:`as_learned` lays over it what checks
taught of speeds, of ages, and of fruit that was picked over.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.ages import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class LearnedDoubts:
    """What checks leave of doubts that are no longer independent; shape (batches,).

    ``known_h`` is when a batch was last checked (h; its pick if it never was). The others are
    covariances: of its mean age at pick with the log of its rate and with the activation energy
    (kJ/mol), and of these two. ``spread_sd`` is the sd of the log of how its fruit differ.
    """

    known_h: Floats
    age_rate: Floats
    age_slope: Floats
    rate_slope: Floats
    spread_sd: Floats

    def of(self, lines: Indices | slice) -> "LearnedDoubts":
        """The columns of some batches only."""
        return LearnedDoubts(*(getattr(self, f.name)[lines] for f in fields(LearnedDoubts)))


@dataclass(frozen=True, slots=True)
class BatchAges:
    """What is known of each batch, one line each; ages and spreads dimensionless.

    Ages are those of the fruit that can ripen, the share ``ripens`` of all.

    ``rate_per_day`` is age per reference day; ``rate_sd`` the sd of its log; ``slope_sd`` the sd
    of the activation energy (kJ/mol); ``doubt_sd`` that of the mean age; ``fruit_sd`` the fruit's
    own. ``picked_h`` in hours. Without ``checked`` the doubts are independent; without ``bands``
    fruit differ as one bell curve.
    """

    picked_h: Floats
    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    rate_per_day: Floats
    rate_sd: Floats
    slope_sd: Floats
    ready_age: Floats
    too_soft_age: Floats
    ripens: Floats
    checked: LearnedDoubts | None = None
    bands: Bands | None = None

    def of(self, lines: Indices | slice) -> "BatchAges":
        """The columns of some batches only."""
        columns = {f.name: getattr(self, f.name) for f in fields(BatchAges)}
        checked, bands = columns.pop("checked"), columns.pop("bands")
        return BatchAges(
            **{name: column[lines] for name, column in columns.items()},
            checked=None if checked is None else checked.of(lines),
            bands=None if bands is None else bands.of(lines),
        )

    @property
    def ages(self) -> Bands:
        """How the ages of their fruit are spread."""
        return Bands.bell(self.picked_h.size) if self.bands is None else self.bands


@dataclass(frozen=True, slots=True)
class LearnedPaces:
    """Of the batches ``line`` (n,) what their cultivars are believed to be, each (n,).

    They age ``per_day`` by the book, and that times the exponential of ``log_rate`` as learned.
    ``slope_sd`` is the sd of the activation energy (kJ/mol), ``rate_slope`` its covariance with the
    log. Fruit differ ``spread`` times as much as usual, its log known to ``spread_sd``; the log of
    the odds that one can ripen is up by ``log_odds``.
    """

    line: Indices
    per_day: Floats
    log_rate: Floats
    log_rate_sd: Floats
    slope_sd: Floats
    rate_slope: Floats
    spread: Floats
    spread_sd: Floats
    log_odds: Floats


@dataclass(frozen=True, slots=True)
class LearnedAges:
    """Of the batches ``line`` (n,) that were checked, their mean age at pick with its doubt, how
    their fruit differ, covariances of that age with the log of the rate and with the activation
    energy (kJ/mol), and when they were last checked (h); each (n,)."""

    line: Indices
    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    age_rate: Floats
    age_slope: Floats
    known_h: Floats


@dataclass(frozen=True, slots=True)
class SortedOut:
    """Of the batches ``line`` (n,) that picking over made, the ``bands`` in which their fruit lie
    and the share of each that ``ripens``, with all that was learned in both."""

    line: Indices
    bands: Bands
    ripens: Floats


def as_learned(
    picked: BatchAges, paces: LearnedPaces, ages: LearnedAges, sorted_out: SortedOut | None
) -> BatchAges:
    """The batches as ``picked``, with what was learned of them; ``ages`` go before ``paces``."""
    rate, rate_sd = picked.rate_per_day.copy(), picked.rate_sd.copy()
    slope_sd, mean_age = picked.slope_sd.copy(), picked.mean_age.copy()
    doubt_sd, fruit_sd = picked.doubt_sd.copy(), picked.fruit_sd.copy()
    known_h, ripens, bands = picked.picked_h.copy(), picked.ripens.copy(), picked.bands
    age_rate, age_slope, rate_slope, spread_sd, log_odds = np.zeros((5, rate.size))

    rate[paces.line] = paces.per_day * np.exp(paces.log_rate)
    rate_sd[paces.line], slope_sd[paces.line] = paces.log_rate_sd, paces.slope_sd
    rate_slope[paces.line], spread_sd[paces.line] = paces.rate_slope, paces.spread_sd
    fruit_sd[paces.line] *= paces.spread
    log_odds[paces.line] = paces.log_odds

    mean_age[ages.line], doubt_sd[ages.line] = ages.mean_age, ages.doubt_sd
    fruit_sd[ages.line], known_h[ages.line] = ages.fruit_sd, ages.known_h
    age_rate[ages.line], age_slope[ages.line] = ages.age_rate, ages.age_slope

    if sorted_out is not None:
        ripens[sorted_out.line], log_odds[sorted_out.line] = sorted_out.ripens, 0.0
        most = max(picked.ages.part.shape[1], sorted_out.bands.part.shape[1])
        bands = picked.ages.with_room_for(most).put(
            sorted_out.line, sorted_out.bands.with_room_for(most)
        )
    return replace(
        picked,
        mean_age=mean_age,
        doubt_sd=doubt_sd,
        fruit_sd=fruit_sd,
        rate_per_day=rate,
        rate_sd=rate_sd,
        slope_sd=slope_sd,
        ripens=np.where(log_odds == 0.0, ripens, with_odds_times(ripens, np.exp(log_odds))),
        checked=LearnedDoubts(known_h, age_rate, age_slope, rate_slope, spread_sd),
        bands=bands,
    )
