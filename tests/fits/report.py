"""What is fitted to a crop's points, in lines of text beside what its profile says."""

import math
from collections.abc import Iterable, Iterator

import numpy as np

from ripenroom.records.crop.profile import CropProfile
from tests.fits.fitting import Fitted, Line, fit_line
from tests.fits.points import Point
from tests.fits.subjects import STORAGE, Subject, UnknownQuantityError, ripening, span, storage
from tests.outside.statements import Role


def report(profile: CropProfile, points: Iterable[Point]) -> Iterator[str]:
    """The crop's fits, each with its held-out points; points that say nothing come last."""
    of_ripening: list[tuple[Point, float]] = []
    of_storage: list[tuple[Point, float]] = []
    unknown: list[str] = []
    for point in points:
        try:
            known = (point, span(point.quantity, profile))
        except UnknownQuantityError as error:
            unknown.append(f"  not used: {_words(point)} (not understood: {error})")
        else:
            (of_storage if point.quantity == STORAGE else of_ripening).append(known)
    if of_ripening:
        yield from _fit(ripening(profile), of_ripening)
    if of_storage:
        yield from _fit(storage(profile), of_storage)
    yield from unknown


def _line_through(subject: Subject, known: Iterable[tuple[Point, float]]) -> Line | None:
    """The line through the points that are to be fitted, if there are any."""
    used = [(p.temperature_c, far / p.days) for p, far in known if p.role is Role.FIT]
    if not used:
        return None
    celsius, per_day = np.array(used, dtype=float).T
    return fit_line(celsius, per_day, subject.response, subject.slope_kj_mol)


def _fit(subject: Subject, known: list[tuple[Point, float]]) -> Iterator[str]:
    line = _line_through(subject, known)
    held_out = [(point, far) for point, far in known if point.role is Role.CHECK]
    yield f"  {subject.name}: {len(known) - len(held_out)} fitted, {len(held_out)} held out"
    if line is not None:
        yield _speed_line(subject, line.log_speed)
        yield _slope_line(subject, line.slope)
    else:
        as_profile = Fitted(math.log(subject.per_day), math.nan, 0)
        line = Line(as_profile, None, subject.response(subject.slope_kj_mol))
        yield "    nothing to fit: held-out points are compared with the profile"
    for point, far in held_out:
        days = far / line.per_day(point.temperature_c)
        off = 100.0 * (days / point.days - 1.0)
        yield f"    held out: {_words(point)}: {days:.3g} on the line ({off:+.0f} %)"


def _speed_line(subject: Subject, log_speed: Fitted) -> str:
    """The speed at the reference; where people know a duration and no speed, that."""
    per_day = [math.exp(at) for at in (log_speed.low, log_speed.value, log_speed.high)]
    at = f"at {subject.reference_c:g} C"
    if subject.whole is None:
        return _compared(f"speed {at}", per_day, subject.per_day, "per day")
    days = [subject.whole / speed for speed in reversed(per_day)]
    return _compared(f"days {at}", days, subject.whole / subject.per_day, "days")


def _slope_line(subject: Subject, slope: Fitted | None) -> str:
    if slope is None:
        kept = f"kept at {subject.slope_kj_mol:.0f} kJ/mol"
        return f"    activation: points of about one temperature only; {kept}"
    energies = [slope.low, slope.value, slope.high]
    return _compared("activation", energies, subject.slope_kj_mol, "kJ/mol")


def _compared(what: str, found: list[float], profile: float, unit: str) -> str:
    low, value, high = found
    scatter = "no scatter" if math.isnan(low) else f"{low:.3g} to {high:.3g}"
    ratio = f"ratio {value / profile:.2f}"
    return f"    {what}: fitted {value:.3g} {unit} ({scatter}), profile {profile:.3g}, {ratio}"


def _words(point: Point) -> str:
    return f"{point.quantity} at {point.temperature_c:g} C, {point.days:g} days ({point.source})"
