"""What a place's thermometer tells that its dial hides."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.air import Air
from ripenroom.science.clock import SettledPulp
from ripenroom.science.logged_air import Readings, at_shares_of_time
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.room_clocks import Schedule, schedules
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import require_place

BAND_K = 2.0
"""Air within this of the set point is what a thermostat may do (common practice, no source)."""

_STEP_H = 1.0 / 12.0
_PICTURE_POINTS = 400


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time (h since the epoch) and the highest air (C) in it."""

    starts_h: float
    ends_h: float
    peak_c: float


@dataclass(frozen=True, slots=True)
class RoomPicture:
    """The log drawn small: lowest and highest air (C) around each hour, and the set point.

    nan where nothing was read.
    """

    hours: Floats
    low_c: Floats
    high_c: Floats
    set_point_c: Floats


@dataclass(frozen=True, slots=True)
class RoomReport:
    """A place as it was read, against its dial; all but ``gaps`` count only hours with readings.

    ``mean_c``, and ``low_c`` to ``high_c`` of the middle 80 % of the time; ``set_point_c`` is the
    mean of what was set. ``above_h`` and ``below_h`` are hours more than ``BAND_K`` warmer or
    colder than that. ``ageing`` is, by crop, how many times as fast settled fruit aged as the set
    point (and the swing on record) says. ``warmest`` is the longest spell above the band.
    """

    place_id: str
    starts_h: float
    ends_h: float
    logged_h: float
    mean_c: float
    low_c: float
    high_c: float
    set_point_c: float
    above_h: float
    below_h: float
    ageing: Mapping[str, float]
    warmest: Spell | None
    gaps: tuple[tuple[float, float], ...]
    picture: RoomPicture


def room_report(
    place_id: str, schedule: Schedule, responses: Mapping[str, AnyResponse]
) -> RoomReport | None:
    """The report of a place; None where it has no readings. ``responses`` by crop."""
    readings = schedule.readings()
    if readings is None or (readings.ends - readings.starts).max() <= 0.0:
        return None
    hours, weight_h = readings.evenly(_STEP_H)
    air = readings.at(hours)
    held = _set_points(schedule, hours)
    above, below = air > held + BAND_K, air < held - BAND_K
    low, high = at_shares_of_time(air, weight_h, (0.1, 0.9))
    logged_h = float(weight_h.sum())
    return RoomReport(
        place_id=place_id,
        starts_h=float(readings.starts[0]),
        ends_h=float(readings.ends[-1]),
        logged_h=logged_h,
        mean_c=float((air * weight_h).sum() / logged_h),
        low_c=low,
        high_c=high,
        set_point_c=float((held * weight_h).sum() / logged_h),
        above_h=float(weight_h[above].sum()),
        below_h=float(weight_h[below].sum()),
        ageing=_ageing(schedule, readings, responses),
        warmest=_longest(hours, air, above),
        gaps=tuple((float(start), float(end)) for start, end in readings.gaps),
        picture=room_picture(readings, schedule),
    )


def _set_points(schedule: Schedule, hours: Floats) -> Floats:
    """What was set (C) at times; the swing on record is no part of what a dial shows."""
    turned = np.searchsorted(schedule.change_h, hours, side="right") - 1
    return np.array(schedule.set_point_c)[np.maximum(turned, 0)]


def _ageing(
    schedule: Schedule, readings: Readings, responses: Mapping[str, AnyResponse]
) -> dict[str, float]:
    logged, believed = schedule.air(), schedule.dial()
    ageing = {}
    for crop, response in responses.items():
        by_dial = _aged(believed, readings, response)
        if by_dial > 0.0:
            ageing[crop] = _aged(logged, readings, response) / by_dial
    return ageing


def _aged(air: Air, readings: Readings, response: AnyResponse) -> float:
    """Days at unit rate that settled fruit ages while there are readings."""
    first, last = float(readings.starts[0]), float(readings.ends[-1])
    clock = SettledPulp(air, first, last).clock(response.relative_rate)
    at_ends, at_starts = (clock.at(hours) for hours in (readings.ends, readings.starts))
    return float((at_ends - at_starts).sum())


def _longest(hours: Floats, air: Floats, above: np.ndarray) -> Spell | None:
    """The longest time without a break above the band."""
    padded = np.concatenate([[False], above, [False]])
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    spells = [
        (begin, end)
        for first, last in zip(edges[::2], edges[1::2], strict=True)
        for begin, end in _unbroken(hours, first, last)
    ]
    if not spells:
        return None
    begin, end = max(spells, key=lambda spell: hours[spell[1] - 1] - hours[spell[0]])
    peak = float(air[begin:end].max())
    half = _STEP_H / 2.0
    return Spell(float(hours[begin]) - half, float(hours[end - 1]) + half, peak)


def _unbroken(hours: Floats, first: int, last: int) -> list[tuple[int, int]]:
    """Parts of a spell between which no reading is missing."""
    breaks = first + 1 + np.flatnonzero(np.diff(hours[first:last]) > 2.0 * _STEP_H)
    edges = [first, *breaks.tolist(), last]
    return list(pairwise(edges))


def room_picture(readings: Readings, schedule: Schedule) -> RoomPicture:
    """Readings drawn small, beside what the place was set to."""
    first, last = float(readings.starts[0]), float(readings.ends[-1])
    edges = np.linspace(first, last, _PICTURE_POINTS + 1)
    hours = (edges[:-1] + edges[1:]) / 2.0
    step = np.clip(np.searchsorted(edges, readings.hours, side="right") - 1, 0, hours.size - 1)
    seen = readings.cover(hours)
    line = np.where(seen, readings.at(hours), np.nan)
    low, high = line.copy(), line.copy()
    np.fmin.at(low, step, readings.celsius)
    np.fmax.at(high, step, readings.celsius)
    return RoomPicture(hours, low, high, _set_points(schedule, hours))


_Kept = tuple[Schedule, tuple[str, ...], Mapping[str, CropProfile], RoomReport | None]


class RoomReports:
    """The reports of a season's places, each kept until its readings, crops or settings change.

    Each question comes with the season's state, so that none is answered from an old one.
    """

    def __init__(self) -> None:
        self._reports: dict[tuple[str, str | None], _Kept] = {}

    def of(self, state: SeasonState, place_id: str, crop: str | None = None) -> RoomReport | None:
        """What a place's logs tell; None without any.

        Ageing is told for ``crop``, or else for every crop that is or was there.
        """
        require_place(state.book, place_id)
        schedule = schedules(state.book, state.zone)[place_id]
        if not schedule.logs:
            return None
        profiles = state.crops
        crops = _crops_seen(state.book, place_id) if crop is None else (crop,)
        asked = (place_id, crop)
        kept = self._reports.get(asked)
        if kept is None or kept[:2] != (schedule, crops) or kept[2] is not profiles:
            constants = ConstantsOfCrops(profiles)
            responses = {key: constants[CropKind(key)].response for key in crops if key in profiles}
            kept = (schedule, crops, profiles, room_report(place_id, schedule, responses))
            self._reports[asked] = kept
        return kept[3]


def _crops_seen(book: Book, place_id: str) -> tuple[str, ...]:
    here = {move.batch_id for move in book.moves.values() if move.place_id == place_id}
    return tuple(sorted({book.batches[batch_id].crop for batch_id in here}))
