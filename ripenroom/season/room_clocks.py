"""Places as the science sees them: air over time, and the clocks of every crop that waits there.

Where a log was taken in, its readings are the air; else the weather, in a place that follows it,
and else the set point.
"""

import math
from bisect import bisect_right
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from functools import lru_cache
from typing import Protocol
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.place import Place, TemperatureLog
from ripenroom.records.temperature_series import unpack
from ripenroom.science.air import Air, ScheduledAir
from ripenroom.science.clock import Clock, ClockKnots, SettledPulp
from ripenroom.science.logged_air import PartlyLoggedAir, Readings, together
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Process
from ripenroom.season.crop_constants import CropConstants, Processes
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.outdoors import OutdoorDays, air_following, outdoor_days

_PLACES_KEPT = 64


@lru_cache(maxsize=_PLACES_KEPT)
def readings_of(logs: tuple[TemperatureLog, ...]) -> Readings | None:
    """One thinned line through the logs of a place; None without any.

    Kept, because a set point that is dragged asks for the same readings again and again.
    """
    return together([readings_of_log(log).thinned() for log in logs])


def readings_of_log(log: TemperatureLog) -> Readings:
    """All readings of one log."""
    times_s, celsius = unpack(log.series)
    return Readings(times_s / 3600.0, celsius)


_WARMEST_LOCAL_TIME = time(15)
"""When the air of a place with a daily swing is warmest (common practice, no source)."""

_ROOM_C = 20.0
"""Set point of a place for which none was ever written down (cannot come from the window)."""


class HasAir(Hashable, Protocol):
    """What clocks are run for; equals have equal clocks."""

    def air(self) -> Air:
        """The air that there is."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Everything that decides a place's air; equal schedules have equal clocks.

    ``logs`` count up to ``logged_until_h``. Where there are none, a place that follows the weather
    by ``lag_h`` has the air of its ``outdoors`` days.
    """

    change_h: tuple[float, ...]
    set_point_c: tuple[float, ...]
    half_cooling_h: float
    swing_k: float
    warmest_h: float
    logs: tuple[TemperatureLog, ...] = ()
    logged_until_h: float = math.inf
    outdoors: OutdoorDays | None = None
    lag_h: float = 0.0

    def air(self) -> Air:
        """The air that this schedule, the weather and its logs make."""
        return _known_air(self) if self.logs or self.outdoors else self.dial()

    def dial(self) -> ScheduledAir:
        """The air if the thermostat were believed."""
        return ScheduledAir(
            self.change_h, self.set_point_c, self.half_cooling_h, self.swing_k, self.warmest_h
        )

    def readings(self) -> Readings | None:
        """What was read of the air; None where no log is."""
        found = readings_of(self.logs) if self.logs else None
        return None if found is None else found.before(self.logged_until_h)

    def set_point_at(self, at_h: float) -> float:
        """Set point (C) in force at a time (h)."""
        begun = bisect_right(self.change_h, at_h)
        return self.set_point_c[max(begun - 1, 0)]

    def from_then_on(self, at_h: float, celsius: float) -> "Schedule":
        """The same place with its set point at ``celsius`` from ``at_h`` on, where logs end."""
        kept = [n for n, change in enumerate(self.change_h) if change < at_h]
        change_h = (*(self.change_h[n] for n in kept), at_h)
        set_point_c = (*(self.set_point_c[n] for n in kept), celsius)
        until_h = at_h if self.logs else self.logged_until_h
        return replace(self, change_h=change_h, set_point_c=set_point_c, logged_until_h=until_h)


@lru_cache(maxsize=16)
def _known_air(schedule: Schedule) -> Air:
    """Kept for each place: while one is tried, the others are asked for again and again."""
    air: ScheduledAir | PartlyLoggedAir = schedule.dial()
    if schedule.outdoors is not None:
        air = PartlyLoggedAir(air, air_following(schedule.outdoors, schedule.lag_h))
    readings = schedule.readings()
    return air if readings is None else PartlyLoggedAir(air, readings)


def schedules(book: Book, zone: ZoneInfo) -> dict[str, Schedule]:
    """The schedule of every place, by place id."""
    changes: dict[str, list[tuple[float, float]]] = {place_id: [] for place_id in book.places}
    for change in book.set_points.values():
        if change.place_id in changes:
            changes[change.place_id].append((to_hours(change.at), change.set_point_c))
    logs: dict[str, list[TemperatureLog]] = {}
    for log in sorted(book.temperature_logs.values(), key=lambda log: (log.starts_at, log.id)):
        logs.setdefault(log.place_id, []).append(log)
    warmest = datetime.combine(book.season.first_day, _WARMEST_LOCAL_TIME, tzinfo=zone)
    follows = any(place.weather_lag_h is not None for place in book.places.values())
    outdoors = outdoor_days(book, zone) if follows else None
    return {
        place_id: _schedule(
            book.places[place_id],
            sorted(found),
            to_hours(warmest),
            tuple(logs.get(place_id, ())),
            outdoors,
        )
        for place_id, found in changes.items()
    }


def _schedule(
    place: Place,
    changes: Sequence[tuple[float, float]],
    warmest_h: float,
    logs: tuple[TemperatureLog, ...],
    outdoors: OutdoorDays | None,
) -> Schedule:
    known = changes or [(warmest_h, _ROOM_C)]
    lag_h = place.weather_lag_h
    return Schedule(
        tuple(at for at, _ in known),
        tuple(celsius for _, celsius in known),
        place.half_cooling_h,
        place.daily_swing_k,
        warmest_h,
        logs,
        outdoors=None if lag_h is None else outdoors,
        lag_h=0.0 if lag_h is None else lag_h,
    )


_TRAIL = 200
_TRAIL_KNOTS = 100_000
"""Clocks that are kept after their use, so that dragging back and forth runs none again: so many at
most, and with so many knots together."""

_MOST_KNOTS = 400_000
"""Clocks in use with more knots than these together are run again when they are asked for next:
each knot takes up 150 bytes, and those of a dozen places whose air swings are half as many."""


class CropClocks:
    """The clocks of one kind in one place, by the name of their process; each runs once, whatever
    goes by it, when it is asked for first."""

    def __init__(self, pulp: SettledPulp, processes: Processes) -> None:
        self._pulp = pulp
        self._processes = processes
        self._run: dict[int, Clock] = {}

    @property
    def hours(self) -> Floats:
        """The knots that they all have."""
        return self._pulp.hours

    def __getitem__(self, name: str) -> Clock:
        process: Process = getattr(self._processes, name)
        if id(process) not in self._run:
            self._run[id(process)] = self._pulp.clock(process.rate_per_day)
        return self._run[id(process)]


class ClockCache:
    """Makes clocks, and keeps those whose place and kind have not changed."""

    def __init__(self) -> None:
        self._kept: dict[tuple[HasAir, CropKind, float, float], CropClocks] = {}

    def clocks(
        self,
        wanted: Sequence[tuple[HasAir, CropKind]],
        constants: Mapping[CropKind, CropConstants],
        start_h: float,
        end_h: float,
    ) -> list[CropClocks]:
        """Clocks from ``start_h`` to ``end_h`` for each (schedule, kind)."""
        pulp: dict[HasAir, SettledPulp] = {}
        fresh: dict[tuple[HasAir, CropKind, float, float], CropClocks] = {}
        for schedule, kind in wanted:
            key = (schedule, kind, start_h, end_h)
            if key not in self._kept and key not in fresh:
                if schedule not in pulp:
                    pulp[schedule] = SettledPulp(schedule.air(), start_h, end_h)
                fresh[key] = CropClocks(pulp[schedule], constants[kind].processes)
        keys = [(schedule, kind, start_h, end_h) for schedule, kind in wanted]
        found = [fresh.get(key) or self._kept[key] for key in keys]
        self._keep(dict(zip(keys, found, strict=True)))
        return found

    def _keep(self, in_use: dict[tuple[HasAir, CropKind, float, float], CropClocks]) -> None:
        """Keep what is in use, and of the trail that a dragged set point leaves the latest."""
        if sum(map(_knots, in_use.values())) > _MOST_KNOTS:
            self._kept = {}
            return
        for key in in_use:
            self._kept.pop(key, None)
        trail = sum(map(_knots, self._kept.values()))
        while len(self._kept) > _TRAIL or trail > _TRAIL_KNOTS:
            trail -= _knots(self._kept.pop(next(iter(self._kept))))
        self._kept |= in_use


def _knots(clocks: CropClocks) -> int:
    return clocks.hours.size


class ThetaOfRooms(dict[str, Floats]):
    """Advance at all knots of all rooms by the name of its process, put together when it is asked
    for first; processes that are one and the same in every room share their column."""

    def __init__(self, rooms: Sequence[CropClocks]) -> None:
        super().__init__()
        self._rooms = rooms
        self._of_clocks: dict[tuple[int, ...], Floats] = {}

    def __missing__(self, name: str) -> Floats:
        clocks = [room[name] for room in self._rooms]
        same = tuple(map(id, clocks))
        if same not in self._of_clocks:
            # Without any room, a clock that stands still.
            still = [np.zeros(2)] if not clocks else []
            thetas = still + [clock.theta for clock in clocks]
            self._of_clocks[same] = np.concatenate(thetas)
        self[name] = self._of_clocks[same]
        return self[name]


@dataclass(frozen=True, slots=True)
class RoomClocks:
    """The clocks of all rooms on their common knots: one column per process, by its name."""

    knots: ClockKnots
    theta: ThetaOfRooms


def shelved(rooms: Sequence[CropClocks]) -> RoomClocks:
    """The clocks of rooms, numbered as they come."""
    hours = [room.hours for room in rooms] or [np.array([0.0, 1.0])]
    return RoomClocks(ClockKnots(hours), ThetaOfRooms(rooms))
