"""What a crop profile says by temperature, worked out for drawing and comparing."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.able_to_ripen import AbleToRipen, fruit_that_ripens
from ripenroom.science.ages import AgeAtPick, Prior
from ripenroom.science.allowances import AllowanceRange
from ripenroom.science.at_pick import age_from_feel, age_from_nothing
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.science.steady_place import (
    advance_until,
    days_behind_gate,
    days_counted,
    days_until_used,
    straight_in_log,
)
from ripenroom.season.crop_constants import CropConstants, crop_constants
from ripenroom.season.projection import FloatColumn

_TEMPERATURES_C = np.arange(-2.0, 35.01, 0.5)
_SOFTENING_AT_C = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
_LONGEST_DAYS = 365.0
"""What takes longer is told as never: no soft fruit waits a year."""

_SOFTENING_DAYS = 60.0
_FELT = 20.0
"""Fruit squeezed to tell a feel: the usual sample of a pick."""


class EstimateRange(NamedTuple):
    """An estimate with its 80 % range."""

    low: FloatColumn
    mid: FloatColumn
    high: FloatColumn


class FirmnessCurve(NamedTuple):
    """Firmness (newtons; % green for a crop judged by colour) over days since pick."""

    days: FloatColumn
    firmness: FloatColumn


@dataclass(frozen=True, slots=True)
class CropCurves:
    """Columns over ``temperatures_c`` (n,), each as if the fruit were kept there all the time.

    Temperatures at which a table has a figure of its own are among them. ``days_to_ready`` has
    shape (feels, n): from the middle of each feel in ``feel_names``, hardest first, until half of
    the fruit is ready, whatever else may end it before; nan where that takes over a year. A crop
    judged by nothing has one unnamed feel. ``softening`` holds the curve of fruit picked mature at
    some temperatures (C), gate closed as picked; empty where none is known.

    ``chilling_days``, ``storage_days`` and ``gate_days`` are allowances and need in days, nan where
    there is none (for the gate: where it never opens; its need is that of fruit of the usual
    maturity). ``respiration`` is in mg CO2 per kg and hour, nan outside the published temperatures.
    """

    temperatures_c: FloatColumn
    feel_names: tuple[str, ...]
    days_to_ready: EstimateRange
    softening: Mapping[float, FirmnessCurve]
    chilling_days: EstimateRange
    storage_days: EstimateRange
    gate_days: EstimateRange
    respiration: EstimateRange


@dataclass(frozen=True, slots=True)
class DrawnCrop:
    """Curves with what they are of; ``name`` is written beside them."""

    name: str
    crop: CropProfile
    curves: CropCurves


def crop_curves(profile: CropProfile, rate_factor: float = 1.0) -> CropCurves:
    """The curves of a profile, or of a cultivar that softens ``rate_factor`` times as fast."""
    crop = crop_constants(profile)
    crop = replace(crop, rate_per_day=crop.rate_per_day * rate_factor)
    at_c = np.union1d(_TEMPERATURES_C, _published_c(profile))
    gate_days = _allowed(crop.gate.need, at_c)
    felt = profile.judged_by != "nothing"
    return CropCurves(
        temperatures_c=at_c,
        feel_names=(profile.feel.names or FEELS) if felt else ("",),
        days_to_ready=_days_to_ready(
            crop, _feels(crop) if felt else _unfelt(crop), at_c, gate_days
        ),
        softening=MappingProxyType(_softening(crop) if felt else {}),
        chilling_days=_allowed(crop.chilling, at_c),
        storage_days=_allowed(crop.storage, at_c),
        gate_days=gate_days,
        respiration=_respiration(profile, at_c),
    )


def _published_c(profile: CropProfile) -> list[float]:
    """Temperatures (C) for which the tables that are drawn have figures of their own."""
    chilling, gate = profile.chilling, profile.gate
    tables = (
        profile.storage.life,
        chilling.allowance if chilling else (),
        gate.needs if gate else (),
    )
    return [at.temperature_c for table in tables for at in table]


def _prior(crop: CropConstants, lines: int) -> Prior:
    return Prior(
        np.full(lines, crop.maturity_age),
        np.full(lines, crop.maturity_sd),
        np.full(lines, crop.fruit_sd),
    )


def _feels(crop: CropConstants) -> AgeAtPick:
    """The age of a batch sorted into each feel, as a pick is read."""
    feels = len(FEELS)
    edges = np.tile(crop.feel_edges, (feels, 1))
    hand = np.full(feels, crop.judgement_sd)
    return _able(crop, age_from_feel(np.eye(feels) * _FELT, edges, hand, _prior(crop, feels)))


def _unfelt(crop: CropConstants) -> AgeAtPick:
    return _able(crop, age_from_nothing(_prior(crop, 1)))


def _able(crop: CropConstants, age: AgeAtPick) -> AgeAtPick:
    figures = crop.half_n, crop.width_n, crop.half_sd, crop.highest_n, crop.lowest_n
    able = AbleToRipen(*(np.full(age.mean.size, figure) for figure in figures))
    return fruit_that_ripens(age, able)[1]


def _days_to_ready(
    crop: CropConstants, age: AgeAtPick, at_c: Floats, gate_days: EstimateRange
) -> EstimateRange:
    pace = crop.rate_per_day * crop.response.relative_rate(at_c)
    rate_sd = np.hypot(crop.rate_sd, crop.slope_sd * crop.response.slope_per_kj_mol(at_c))
    mean, doubt = age.mean[:, None], age.doubt_sd[:, None]
    times = crop.gate.need_of(mean)
    return EstimateRange(
        *(
            _behind_gate(crop, advance / pace, opens * times)
            for advance, opens in zip(
                advance_until(crop.ready_age, mean, doubt, rate_sd), gate_days, strict=True
            )
        )
    )


def _behind_gate(crop: CropConstants, days: Floats, gate_days: Floats) -> Floats:
    """Days that ``days`` at full speed take if the need takes ``gate_days``; nan: too long."""
    gate = crop.gate
    if gate.shut:
        days = days_behind_gate(days, gate_days, gate.width, gate.meanwhile)
    return np.where(days <= _LONGEST_DAYS, days, np.nan)


def _softening(crop: CropConstants) -> dict[float, FirmnessCurve]:
    days = np.linspace(0.0, _SOFTENING_DAYS, 241)
    curves = {}
    for celsius in _SOFTENING_AT_C:
        pace = crop.rate_per_day * float(crop.response.relative_rate(celsius))
        counted = days
        if crop.gate.shut:
            need_days = days_until_used(crop.gate.need.mid, np.array([celsius]))
            counted = days_counted(days, need_days, crop.gate.width, crop.gate.meanwhile)
        age = crop.maturity_age + pace * counted
        curves[celsius] = FirmnessCurve(days, firmness_n_at_age(age, crop.highest_n, crop.lowest_n))
    return curves


def _allowed(allowed: AllowanceRange, celsius: Floats) -> EstimateRange:
    """Days until an allowance is used up (or a need met) at each temperature; nan for never."""
    ends = allowed.low, allowed.mid, allowed.high
    return EstimateRange(*(days_until_used(end, celsius) for end in ends))


def _respiration(profile: CropProfile, celsius: Floats) -> EstimateRange:
    known = profile.respiration
    if not known:
        nothing = np.full(celsius.size, np.nan)
        return EstimateRange(nothing, nothing, nothing)
    at_c = [at.temperature_c for at in known]
    return EstimateRange(
        straight_in_log(celsius, at_c, [at.mg_kg_h.low for at in known]),
        straight_in_log(celsius, at_c, [at.mg_kg_h.value for at in known]),
        straight_in_log(celsius, at_c, [at.mg_kg_h.high for at in known]),
    )
