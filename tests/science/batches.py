"""One crop's batches for tests of eat-by windows; figures are near pawpaw's."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
import numpy.typing as npt

from ripenroom.science.age_gain import AgeGain, Gaining, RipeLifeClocks
from ripenroom.science.ages import Bands
from ripenroom.science.air import Air
from ripenroom.science.allowances import Allowance, AllowanceClocks, UsedUp
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import RateOfTemperature
from ripenroom.science.eat_by_dates import EatBy, eat_by
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.reference_point import ReferencePoint, on_way, ways
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse, Process, Response
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
    bands: Bands | None = None
    chilling: Allowance = NEVER
    storage: Allowance = NEVER
    freezing: Allowance = NEVER
    allowance_share: tuple[float, float] = (0.8, 1.25)

    def but(self, **changes: object) -> "Crop":
        """The same crop with some figures changed."""
        build: Callable[..., Crop] = replace
        return build(self, **changes)


PAWPAW = Crop()


@dataclass(frozen=True, slots=True)
class Case:
    """Batches of one crop on their journeys, and what eat-by windows follow from."""

    batches: BatchAges
    ageing: ClockAdvance
    slope: ClockAdvance
    limits: AllowanceClocks

    def eat_by(self) -> EatBy:
        """Their eat-by windows."""
        return eat_by(self.batches, self.gaining(), self.limits)

    def way(self) -> ReferencePoint:
        """Their ways, and what is not known of them."""
        return ways(self.batches, self.ageing, self.slope)

    def gaining(self) -> Gaining:
        """What they gain."""
        way = self.way()
        known, life = on_way(self.batches, way), self.limits.ripe_life
        return Gaining.along(known, way, self.ageing, self.slope, life)


def case(
    crop: Crop,
    airs: Sequence[Air],
    journeys: Sequence[Journey],
    pulp_at_pick_c: npt.ArrayLike = np.nan,
) -> Case:
    """Batches of ``crop``, all alike but for their journeys."""

    def column(value: float) -> Floats:
        return np.full(len(journeys), value)

    def progress(rate: RateOfTemperature, none_from_c: float = inf) -> ClockAdvance:
        return progress_of(airs, journeys, Process(rate, none_from_c), pulp_at_pick_c)

    def used_up(allowance: Allowance) -> UsedUp:
        low, high = crop.allowance_share
        used = progress(allowance.use_per_day, allowance.none_from_c)
        return UsedUp.on_one_clock(used, column(low), column(high))

    def ripe_life(days: float) -> ClockAdvance:
        """The clock on which ripe fruit has its usual days where it really has these."""
        factor = crop.ripe_days[1] / days if np.isfinite(days) else 1.0
        return progress(lambda c: crop.ripe_life_rate(c) * factor)

    response = crop.response
    batches = BatchAges(
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
        bands=None if crop.bands is None else crop.bands.of(np.zeros(len(journeys), np.intp)),
    )
    low, mid, high = crop.ripe_days
    days = low, low**0.4 * mid**0.6, mid, mid**0.6 * high**0.4, high
    one, two, three, four, five = (ripe_life(each) for each in days)
    limits = AllowanceClocks(
        ripe_life=RipeLifeClocks((one, two, three, four, five), column(mid)),
        chilling=used_up(crop.chilling),
        storage=used_up(crop.storage),
        freezing=used_up(crop.freezing),
    )
    slope = progress(lambda c: response.relative_rate(c) * response.slope_per_kj_mol(c))
    return Case(batches, ageing_of(airs, journeys, response, pulp_at_pick_c), slope, limits)


def gained_at(advance: Floats, rate_sd: Floats, ripe_ago: tuple[Floats, ...] = ()) -> AgeGain:
    """Age gained at rates in so much doubt, at the reference temperature."""
    return AgeGain(advance, ripe_ago, rate_sd, np.zeros_like(rate_sd))
