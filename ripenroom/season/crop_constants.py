"""What the science needs of a crop profile, as plain numbers.

Profiles hold figures with 80 % ranges; here a range becomes a standard deviation (of the value, or
of its log where only a factor makes sense).
"""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile, DaysAt, Figure, Gate, Rate, RipeLife
from ripenroom.science.able_to_ripen import ripens_log_odds_sd
from ripenroom.science.allowances import Allowance, AllowanceRange
from ripenroom.science.clock import RateOfTemperature
from ripenroom.science.softening import age_from_firmness_n
from ripenroom.science.spread import TAIL_40, TAIL_80, log_sd_of_range, sd_of_range
from ripenroom.science.temperature import (
    AnyResponse,
    DoubtfulQ10,
    Process,
    Response,
    TabulatedResponse,
)
from ripenroom.season.amounts import fruit_mass_kg
from ripenroom.season.crop_kinds import CropKind, kind_of_cultivar
from ripenroom.season.gate_constants import GateConstants

_LEAST_KJ_MOL = 5.0
"""No fruit is found to ripen as fast in the cold as in the warm."""

_STORAGE_KNOWN_ABOVE_K = 2.0
"""A published storage life is not claimed for air more than this above its warmest temperature."""

_BUYERS_DAYS = 3.0
"""Buyers at a market wait so long where a profile does not say (an estimate: fruit bought on
Saturday is eaten by Tuesday)."""


_NEVER_USED = AllowanceRange(*[Allowance((0.0,), (1.0,), none_from_c=-1e9)] * 3)
"""Stands where a crop has no such allowance."""


_FROZEN_AFTER_DAYS = 0.075, 0.25, 1.0
"""Pulp at or below its freezing point for six hours in all is frozen, two hours to a day as the
80 % range: fruit cools a little further before ice forms, and the heat that freezing sets free has
to leave it (an estimate; no source gives hours for these fruit)."""

_AT_FREEZING_K = 1e-6
"""Pulp exactly at the freezing point freezes."""


@dataclass(frozen=True, slots=True)
class Processes:
    """All that goes on in a crop's fruit, each at a rate by pulp temperature.

    ``ageing`` counts reference days, ``slope`` their derivative by the activation energy;
    ``ripe_life`` days of ripe life, by its usual pace, at either end of its 80 % range and (rather
    fast, rather slow) at those of its 40 % range;
    ``chilling``, ``storage``, ``freezing`` and ``gate`` shares of an allowance or need. Those named
    ``soonest`` and ``latest`` are by the ends of its 80 % range, or the very same process where
    these are one share of it at every temperature.
    """

    ageing: Process
    slope: Process
    ripe_life: Process
    ripe_life_fast: Process
    ripe_life_rather_fast: Process
    ripe_life_rather_slow: Process
    ripe_life_slow: Process
    chilling: Process
    chilling_soonest: Process
    chilling_latest: Process
    storage: Process
    storage_soonest: Process
    storage_latest: Process
    freezing: Process
    gate: Process
    gate_soonest: Process
    gate_latest: Process


class RipeLifeRates(NamedTuple):
    """Relative paces at which ripe fruit uses up its life, by pulp temperature (C): the usual one,
    and the ends of its 80 % and of its 40 % range."""

    usual: RateOfTemperature
    fast: RateOfTemperature
    slow: RateOfTemperature
    rather_fast: RateOfTemperature
    rather_slow: RateOfTemperature


_NO_ETHYLENE = (math.inf, math.inf, math.inf)

_NO_GATE = GateConstants(False, _NEVER_USED, 1.0, _NO_ETHYLENE)


@dataclass(frozen=True)
class CropConstants:
    """One crop as numbers; ages dimensionless, rates per reference day, firmness in newtons.

    ``felt`` and ``probed`` tell whether feels (or looks) and gauge readings mean anything for it.
    ``ripens_sd`` is the sd of the log of the odds that a fruit can ripen, ``ready_sd`` that of the
    age at which it is ready: sources do not agree on that firmness. ``ripe_life_sd`` is the sd of
    the log of ``ripe_life_days``, which are those at ``ripe_life_c`` (C).
    ``buyers_days`` are those within which buyers at a market eat it.
    """

    felt: bool
    probed: bool
    highest_n: float
    lowest_n: float
    ready_age: float
    ready_sd: float
    too_soft_age: float
    feel_edges: tuple[float, float, float, float]
    judgement_sd: float
    maturity_age: float
    maturity_sd: float
    fruit_sd: float
    reading_error_n: float
    response: AnyResponse
    rate_per_day: float
    rate_sd: float
    slope_sd: float
    half_n: float
    width_n: float
    half_sd: float
    ripens_sd: float
    ripe_life_days: float
    ripe_life_sd: float
    ripe_life_c: float
    ripe_life_rates: RipeLifeRates
    chilling: AllowanceRange
    storage: AllowanceRange
    freezing: AllowanceRange
    gate: GateConstants
    fruit_mass_kg: float
    fruit_per_crate: float
    buyers_days: float

    @cached_property
    def processes(self) -> Processes:
        """What goes on in its fruit."""
        response, lives = self.response, self.ripe_life_rates
        chilling, chilling_soonest, chilling_latest = _using_up(self.chilling)
        storage, storage_soonest, storage_latest = _using_up(self.storage)
        gate, gate_soonest, gate_latest = _using_up(self.gate.need)
        return Processes(
            ageing=Process(response.relative_rate),
            slope=Process(lambda c: response.relative_rate(c) * response.slope_per_kj_mol(c)),
            ripe_life=Process(lives.usual),
            ripe_life_fast=Process(lives.fast),
            ripe_life_rather_fast=Process(lives.rather_fast),
            ripe_life_rather_slow=Process(lives.rather_slow),
            ripe_life_slow=Process(lives.slow),
            chilling=chilling,
            chilling_soonest=chilling_soonest,
            chilling_latest=chilling_latest,
            storage=storage,
            storage_soonest=storage_soonest,
            storage_latest=storage_latest,
            freezing=_using_up(self.freezing)[0],
            gate=gate,
            gate_soonest=gate_soonest,
            gate_latest=gate_latest,
        )


def _using_up(allowed: AllowanceRange) -> tuple[Process, Process, Process]:
    """By the middle of an allowance, by its low end and by its high end."""

    def by(allowance: Allowance) -> Process:
        return Process(allowance.use_per_day, allowance.none_from_c)

    middle = by(allowed.mid)
    soonest, latest = (
        middle if end.allowance is allowed.mid else by(end.allowance)
        for end in (allowed.soonest, allowed.latest)
    )
    return middle, soonest, latest


class ConstantsOfCrops(Mapping[CropKind, CropConstants]):
    """The constants of every crop and of its groups, worked out when they are first asked for.

    ``slope_shift_kj_mol`` says by how much a kind's activation energy was found to differ from its
    profile's, ``ripens_sd`` to what sd the log of the odds that its fruit can ripen is known by
    now, ``lives`` how much longer its ripe fruit lasts, as a log, and to what sd. In order are the
    crops as in ``profiles``, each before its groups.
    """

    def __init__(
        self,
        profiles: Mapping[str, CropProfile],
        slope_shift_kj_mol: Mapping[CropKind, float] = MappingProxyType({}),
        ripens_sd: Mapping[CropKind, float] = MappingProxyType({}),
        lives: Mapping[CropKind, tuple[float, float]] = MappingProxyType({}),
    ) -> None:
        self._profiles = profiles
        self._ripens_sd = ripens_sd
        self._lives = lives
        self._slope_shift_kj_mol = slope_shift_kj_mol
        self._known: dict[CropKind, CropConstants] = {}

    def kind_of(self, crop: str, cultivar_id: str | None, book: Book) -> CropKind:
        """The kind of fruit of a crop and a cultivar."""
        return kind_of_cultivar(crop, cultivar_id, book, self._profiles)

    def of_batch(self, batch: Batch, book: Book) -> CropConstants:
        """The constants that a batch goes by; ``KeyError`` for an unknown crop."""
        return self[self.kind_of(batch.crop, batch.cultivar_id, book)]

    def among(self, kinds: Collection[CropKind]) -> tuple[CropKind, ...]:
        """Those of some kinds that have constants, in order; no profile of another crop is read."""
        grown = {kind.crop for kind in kinds}
        return tuple(
            kind
            for crop in self._profiles
            if crop in grown
            for kind in self._of_crop(crop)
            if kind in kinds
        )

    def __getitem__(self, key: CropKind) -> CropConstants:
        if key not in self._known:
            if key not in self:
                raise KeyError(key)
            constants = crop_constants(key.profile_in(self._profiles))
            shift = self._slope_shift_kj_mol.get(key, 0.0)
            if shift and isinstance(constants.response, Response):
                energy = max(constants.response.activation_kj_mol + shift, _LEAST_KJ_MOL)
                response = replace(constants.response, activation_kj_mol=energy)
                constants = replace(constants, response=response)
            if key in self._ripens_sd:
                constants = replace(constants, ripens_sd=self._ripens_sd[key])
            if key in self._lives:
                log_days, log_sd = self._lives[key]
                constants = replace(
                    constants,
                    ripe_life_days=constants.ripe_life_days * math.exp(log_days),
                    ripe_life_sd=log_sd,
                    ripe_life_rates=_ripe_life_rates(
                        key.profile_in(self._profiles).ripe_life, log_sd
                    ),
                )
            self._known[key] = constants
        return self._known[key]

    def __contains__(self, key: object) -> bool:
        if not isinstance(key, CropKind) or key.crop not in self._profiles:
            return False
        return key.group is None or key.group in self._profiles[key.crop].of_groups

    def __iter__(self) -> Iterator[CropKind]:
        for crop in self._profiles:
            yield from self._of_crop(crop)

    def _of_crop(self, crop: str) -> Iterator[CropKind]:
        yield CropKind(crop)
        yield from (CropKind(crop, group) for group in self._profiles[crop].of_groups)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def crop_constants(profile: CropProfile) -> CropConstants:
    """The constants of a profile."""
    firmness, rate = profile.firmness, profile.rate

    def age(newtons: float) -> float:
        high, low = firmness.highest_n.value, firmness.lowest_n.value
        return float(age_from_firmness_n(newtons, high, low))

    mature, half = firmness.at_maturity_n, profile.wont_ripen.half_n
    feel = profile.feel
    slight, gives, soft, too_soft = (
        age(edge.value) for edge in (feel.slight_give_n, feel.gives_n, feel.soft_n, feel.too_soft_n)
    )
    half_sd = (age(half.low) - age(half.high)) / (2.0 * TAIL_80)
    chilling = profile.chilling
    return CropConstants(
        felt=profile.judged_by != "nothing",
        probed=profile.judged_by == "firmness",
        highest_n=firmness.highest_n.value,
        lowest_n=firmness.lowest_n.value,
        ready_age=age(firmness.ready_n.value),
        ready_sd=(age(firmness.ready_n.low) - age(firmness.ready_n.high)) / (2.0 * TAIL_80),
        too_soft_age=age(firmness.too_soft_n.value),
        feel_edges=(slight, gives, soft, too_soft),
        judgement_sd=feel.judgement_age.value,
        maturity_age=age(mature.value),
        maturity_sd=(age(mature.low) - age(mature.high)) / (2.0 * TAIL_80),
        fruit_sd=profile.fruit_spread_age.value,
        reading_error_n=firmness.reading_error_n.value,
        response=_response(rate),
        rate_per_day=rate.per_day.value,
        rate_sd=_log_sd(rate.per_day),
        slope_sd=_sd(rate.activation_kj_mol) if rate.activation_kj_mol else 0.0,
        half_n=profile.wont_ripen.half_n.value,
        width_n=profile.wont_ripen.width_n.value,
        half_sd=half_sd,
        ripens_sd=ripens_log_odds_sd(half_sd, profile.fruit_spread_age.value),
        ripe_life_days=profile.ripe_life.days.value if profile.ripe_life else math.inf,
        ripe_life_sd=_log_sd(profile.ripe_life.days) if profile.ripe_life else 0.0,
        ripe_life_c=profile.ripe_life.reference_c if profile.ripe_life else math.nan,
        ripe_life_rates=_ripe_life_rates(profile.ripe_life),
        chilling=(
            _allowed(chilling.allowance, chilling.threshold_c.value) if chilling else _NEVER_USED
        ),
        storage=_storage(profile),
        freezing=_freezing(profile),
        gate=_gate(profile.gate, age(mature.value)) if profile.gate else _NO_GATE,
        fruit_mass_kg=fruit_mass_kg(profile),
        fruit_per_crate=profile.fruit_per_crate.value,
        buyers_days=buyers_days(profile),
    )


def buyers_days(profile: CropProfile) -> float:
    """Days within which buyers at a market eat a crop."""
    eaten = profile.buyers_eat_within
    return _BUYERS_DAYS if eaten is None else eaten.value


def _response(rate: Rate) -> AnyResponse:
    if rate.activation_kj_mol is None:
        return TabulatedResponse(
            tuple(at.temperature_c for at in rate.by_temperature),
            tuple(at.per_day.value / rate.per_day.value for at in rate.by_temperature),
        )
    if rate.heat_midpoint_c is None or rate.heat_kj_mol is None:
        return Response(rate.reference_c, rate.activation_kj_mol.value)
    return Response(
        rate.reference_c,
        rate.activation_kj_mol.value,
        rate.heat_midpoint_c.value,
        rate.heat_kj_mol.value,
    )


def _storage(profile: CropProfile) -> AllowanceRange:
    life = profile.storage.life
    if not life:
        return _NEVER_USED
    ripening = profile.ripening
    if profile.judged_by == "nothing" and not (ripening and ripening.days):
        # Nothing else ends fruit that is eaten as picked, so its last life holds in any warmth.
        return _allowed(life, math.inf)
    return _allowed(life, life[-1].temperature_c + _STORAGE_KNOWN_ABOVE_K)


def _gate(gate: Gate, usual_age: float) -> GateConstants:
    treatment = gate.ethylene_days
    return GateConstants(
        shut=True,
        need=_allowed(gate.needs, gate.none_above_c),
        meanwhile=gate.meanwhile.value,
        ethylene_h=(
            (treatment.low * 24.0, treatment.value * 24.0, treatment.high * 24.0)
            if treatment
            else _NO_ETHYLENE
        ),
        usual_age=usual_age,
        per_age=gate.per_age.value if gate.per_age else 1.0,
        width=gate.width.value if gate.width else 0.0,
    )


def _sd(figure: Figure) -> float:
    return sd_of_range(figure.low, figure.high)


def _log_sd(figure: Figure) -> float:
    return log_sd_of_range(figure.low, figure.high)


def _freezing(profile: CropProfile) -> AllowanceRange:
    at_c = profile.storage.freezes_at_c
    return AllowanceRange(
        *(Allowance((at_c,), (days,), at_c + _AT_FREEZING_K) for days in _FROZEN_AFTER_DAYS)
    )


def _ripe_life_rates(life: RipeLife | None, log_days_sd: float | None = None) -> RipeLifeRates:
    """How fast ripe fruit uses up its life: how many days it has (as the profile says, or with an
    sd of their log) is as doubtful as how they depend on temperature, and both make the pace
    doubtful."""
    if life is None:
        return RipeLifeRates(*[np.ones_like] * 5)
    log_sd = _log_sd(life.days) if log_days_sd is None else log_days_sd
    pace = DoubtfulQ10(life.q10.value, _log_sd(life.q10), life.reference_c, log_sd=log_sd)
    return RipeLifeRates(
        *(pace.relative_rate_at(z) for z in (0.0, TAIL_80, -TAIL_80, TAIL_40, -TAIL_40))
    )


def _allowed(points: tuple[DaysAt, ...], none_from_c: float) -> AllowanceRange:
    """The allowance by the figures, each end of its range by theirs."""
    temperature_c = tuple(at.temperature_c for at in points)

    def by(days: list[float]) -> Allowance:
        return Allowance(temperature_c, tuple(days), none_from_c)

    return AllowanceRange(
        by([at.days.low for at in points]),
        by([at.days.value for at in points]),
        by([at.days.high for at in points]),
    )
