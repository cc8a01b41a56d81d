"""What projections need of what was learned, as they ask for it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from ripenroom.records.batch import Batch
from ripenroom.science.bands import Bands
from ripenroom.season.kinds import CropKind


@dataclass(frozen=True, slots=True)
class CultivarRate:
    """What is believed of a cultivar's speed.

    ``log_rate`` is the log of how many times as fast as its kind's profile it softens. ``slope_sd``
    is the sd of the kind's activation energy (kJ/mol), ``rate_slope`` its covariance with
    ``log_rate``. Fruit differ ``spread`` times as much as usual, its log known to ``spread_sd``.
    """

    log_rate: float
    log_rate_sd: float
    slope_sd: float
    rate_slope: float
    spread: float
    spread_sd: float


@dataclass(frozen=True, slots=True)
class AgePosterior:
    """What is believed of the age at pick of ``batch``, as it was written down then and by the
    figures of the ``kind`` that it was.

    ``age_rate`` and ``age_slope`` are covariances with the log of its rate and with the activation
    energy (kJ/mol); ``known_h`` is when it was last checked (h). Of a batch that was picked over,
    or came of that, ``bands`` say how its fruit differ, and the share ``ripens`` of it can ripen.
    """

    batch: Batch
    kind: CropKind
    mean_age: float
    doubt_sd: float
    fruit_sd: float
    age_rate: float
    age_slope: float
    known_h: float
    ripens: float | None = None
    bands: Bands | None = None


@dataclass(frozen=True, slots=True)
class FarmRate:
    """The log of how many times as fast as its profile a kind softens on this farm, with its sd,
    now and before any check of the season."""

    log_rate: float
    log_rate_sd: float
    book_log_rate: float
    book_log_rate_sd: float


@dataclass(frozen=True, slots=True)
class LearnedPosterior:
    """Paces by kind and cultivar, shifts of kinds' activation energy (kJ/mol), ages of batches.

    ``farms`` has the pace of each kind on this farm, whatever the cultivar.
    """

    paces: Mapping[tuple[CropKind, str | None], CultivarRate]
    slope_shift_kj_mol: Mapping[CropKind, float]
    ages: Mapping[str, AgePosterior]
    farms: Mapping[CropKind, FarmRate]

    def pace_of(
        self, kind: CropKind, cultivar_id: str | None, own_factor: float
    ) -> CultivarRate | None:
        """The pace of a cultivar; one that came to its kind later is taken as any of that, times
        its own factor. None where nothing was learned of the kind."""
        known = self.paces.get((kind, cultivar_id))
        if known is not None:
            return known
        any_of_kind = self.paces.get((kind, None))
        if any_of_kind is None:
            return None
        return CultivarRate(
            any_of_kind.log_rate + math.log(own_factor),
            any_of_kind.log_rate_sd,
            any_of_kind.slope_sd,
            any_of_kind.rate_slope,
            any_of_kind.spread,
            any_of_kind.spread_sd,
        )

    def age_of(self, batch: Batch, kind: CropKind) -> AgePosterior | None:
        """The age of a batch that was checked, unless it or its kind was changed since."""
        known = self.ages.get(batch.id)
        same = known is not None and known.kind == kind and known.batch == batch
        return known if same else None


class HasBelief(Protocol):
    """What checks taught, as far as projections look at it."""

    @property
    def belief(self) -> LearnedPosterior | None:
        """What is believed; None if nothing was learned."""
