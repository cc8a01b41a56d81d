"""One crop's batches for tests of eat-by windows; figures are near pawpaw's."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
import numpy.typing as npt

from ripenroom.science.ageing import Ageing
from ripenroom.science.air import Air
from ripenroom.science.allowance import Allowance
from ripenroom.science.batches import Batches
from ripenroom.science.clock import RateOfTemperature
from ripenroom.science.eat_by import EatBy, Limits, eat_by
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse, Response
from tests.science.journeys import Journey, ageing_of, progress_of

NEVER = Allowance((0.0,), (1.0,), none_from_c=-1e9)
RESPONSE = Response(20.0, 120.0, 27.0, 200.0)


@dataclass(frozen=True, slots=True)
class Crop:
    """What the science needs of a crop and of what is known of its batches."""

    response: AnyResponse = RESPONSE
    rate_per_day: float = 0.8
    rate_sd: float = 0.25
    slope_sd: float = 15.0
    ready_age: float = 1.7
    too_soft_age: float = 3.6
    mean_age: float = -0.2
    doubt_sd: float = 0.5
    fruit_sd: float = 0.6
    ripens: float = 0.9
    ripe_days: tuple[float, float, float] = (inf, inf, inf)
    ripe_life_rate: RateOfTemperature = np.ones_like
    chilling: Allowance = NEVER
    storage: Allowance = NEVER
    allowance_share: tuple[float, float] = (0.8, 1.25)

    def but(self, **changes: object) -> "Crop":
        """The same crop with some figures changed."""
        build: Callable[..., Crop] = replace
        return build(self, **changes)


PAWPAW = Crop()


@dataclass(frozen=True, slots=True)
class Case:
    """Batches of one crop on their journeys, and what eat-by windows follow from."""

    batches: Batches
    ageing: Ageing
    slope: Progress
    limits: Limits

    def eat_by(self) -> EatBy:
        """Their eat-by windows."""
        return eat_by(self.batches, self.ageing, self.slope, self.limits)


def case(
    crop: Crop,
    airs: Sequence[Air],
    journeys: Sequence[Journey],
    pulp_at_pick_c: npt.ArrayLike = np.nan,
) -> Case:
    """Batches of ``crop``, all alike but for their journeys."""

    def column(value: float) -> Floats:
        return np.full(len(journeys), value)

    def progress(rate: RateOfTemperature) -> Progress:
        return progress_of(airs, journeys, rate)

    response = crop.response
    low, high = crop.allowance_share
    batches = Batches(
        picked_h=np.array([journey[0][0] for journey in journeys], float),
        mean_age=column(crop.mean_age),
        doubt_sd=column(crop.doubt_sd),
        fruit_sd=column(crop.fruit_sd),
        rate_per_day=column(crop.rate_per_day),
        rate_sd=column(crop.rate_sd),
        slope_sd=column(crop.slope_sd),
        ready_age=column(crop.ready_age),
        too_soft_age=column(crop.too_soft_age),
        ripens=column(crop.ripens),
    )
    limits = Limits(
        ripe_life=progress(crop.ripe_life_rate),
        ripe_days=(
            column(crop.ripe_days[0]),
            column(crop.ripe_days[1]),
            column(crop.ripe_days[2]),
        ),
        chilling=progress(crop.chilling.use_per_day),
        chilling_share=(column(low), column(high)),
        storage=progress(crop.storage.use_per_day),
        storage_share=(column(low), column(high)),
    )
    slope = progress(lambda c: response.relative_rate(c) * response.slope_per_kj_mol(c))
    return Case(batches, ageing_of(airs, journeys, response, pulp_at_pick_c), slope, limits)
