"""What a profile says of the durations that points give, so that the two can be compared.

Quantities are words: ``days to ripe`` (from fruit picked at maturity), ``days to ripe from pink``
(from a feel or look that the profile names), ``days to ripe from 80 N``, ``days to 14 N from 80 N``
(or ``lbf``, ``kgf``, ``% green``), ``days to too soft from gives``, and ``storage life``. ``ready``
and ``table-ripe`` are ripe too.
Days count from the opening of the gate where the profile has one.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.knowledge import log_interpolated
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.age_belief import Prior
from ripenroom.science.at_pick import age_from_feel
from ripenroom.science.softening import age_from_firmness_n
from ripenroom.science.temperature import Response
from ripenroom.season.crop_constants import CropConstants, crop_constants
from ripenroom.units import NEWTONS_PER
from tests.fits.fitting import fit_line

_RIPENING = re.compile(r"days to (?P<end>.+?)(?: from (?P<start>.+))?")
_MARK = re.compile(r"(?P<value>[\d.]+) ?(?P<unit>N|lbf|kgf|% green)")
STORAGE = "storage life"
_RIPE = ("ripe", "ready", "table-ripe")
_FELT = 20.0
"""Fruit felt or looked at: the usual sample of a pick."""

_MARKS_PER: Mapping[str, float] = {"% green": 1.0} | {str(u): n for u, n in NEWTONS_PER.items()}


class UnknownQuantityError(ValueError):
    """A quantity that is not among the known words."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What is fitted of a crop: how fast it ripens, or how fast its storage life is used up.

    ``slope_kj_mol`` is the profile's activation energy, or that of the line closest to its table
    of speeds; ``heat`` its heat limit (C, kJ/mol), if any. ``whole`` is how far fruit gets in one
    duration where that, and no speed, is what people know; else None.
    """

    name: str
    reference_c: float
    per_day: float
    slope_kj_mol: float
    heat: tuple[float, float] | None = None
    whole: float | None = None

    def response(self, slope_kj_mol: float) -> Response:
        """The response with this activation energy and the profile's heat limit."""
        return Response(self.reference_c, slope_kj_mol, *(self.heat or ()))


def ripening(profile: CropProfile) -> Subject:
    """The ripening speed of a profile, in age per day."""
    rate = profile.rate
    heat = None
    if rate.heat_midpoint_c and rate.heat_kj_mol:
        heat = rate.heat_midpoint_c.value, rate.heat_kj_mol.value
    table = [(at.temperature_c, at.per_day.value) for at in rate.by_temperature]
    slope = rate.activation_kj_mol.value if rate.activation_kj_mol else _slope(table)
    whole = span("days to ripe", profile) if profile.judged_by == "nothing" else None
    return Subject("ripening", rate.reference_c, rate.per_day.value, slope, heat, whole)


def storage(profile: CropProfile) -> Subject:
    """The part of its storage life that fruit uses up per day, where it is stored best."""
    life = profile.storage.life
    known = [at.temperature_c for at in life]
    reference_c = min(max(profile.storage.best_high_c, known[0]), known[-1])
    days = log_interpolated(reference_c, known, [at.days.value for at in life])
    slope = _slope([(at.temperature_c, 1.0 / at.days.value) for at in life])
    return Subject(STORAGE, reference_c, 1.0 / days, slope, whole=1.0)


def _slope(table: list[tuple[float, float]]) -> float:
    """The activation energy (kJ/mol) of the line closest to speeds by temperature."""
    celsius, per_day = np.array(table, dtype=float).T
    line = fit_line(celsius, per_day, lambda slope: Response(float(celsius[0]), slope), 0.0)
    return round(line.slope.value, 3) + 0.0 if line.slope else 0.0  # no -0


def span(quantity: str, profile: CropProfile) -> float:
    """How far fruit gets in the days of a quantity: in age, or 1 for a whole storage life."""
    if quantity == STORAGE:
        return 1.0
    words = _RIPENING.fullmatch(quantity)
    if words is None:
        raise UnknownQuantityError(quantity)
    constants = crop_constants(profile)
    start, end = words["start"], words["end"]
    end_age = _end_age(end, constants)
    start_age = constants.maturity_age if start is None else _start_age(start, profile, constants)
    if end_age <= start_age:
        raise UnknownQuantityError(f"{quantity}: ends before it starts")
    return end_age - start_age


def _end_age(end: str, constants: CropConstants) -> float:
    if end in _RIPE:
        return constants.ready_age
    return constants.too_soft_age if end == "too soft" else _mark_age(end, constants)


def _start_age(start: str, profile: CropProfile, constants: CropConstants) -> float:
    names = profile.feel.names or FEELS
    if start not in names:
        return _mark_age(start, constants)
    counts = np.zeros((1, len(FEELS)))
    counts[0, names.index(start)] = _FELT
    usual = Prior(
        np.array([constants.maturity_age]),
        np.array([constants.maturity_sd]),
        np.array([constants.fruit_sd]),
    )
    edges = np.array([constants.feel_edges])
    felt = age_from_feel(counts, edges, np.array([constants.judgement_sd]), usual)
    return float(felt.mean[0])


def _mark_age(mark: str, constants: CropConstants) -> float:
    found = _MARK.fullmatch(mark)
    if found is None:
        raise UnknownQuantityError(mark)
    newtons = float(found["value"]) * _MARKS_PER[found["unit"]]
    age = float(age_from_firmness_n(newtons, constants.highest_n, constants.lowest_n))
    if not math.isfinite(age):
        raise UnknownQuantityError(f"{mark} is beyond the curve's ends")
    return age
