"""Where fruit waits: what its thermostat was set to, and what a thermometer in it wrote down."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from ripenroom.records.limits import (
    DailySwingK,
    HalfCoolingH,
    Id,
    Line,
    Moment,
    Name,
    RoomForCrates,
    Series,
    SetPointC,
    WeatherLagH,
)

PlaceKind = Literal["cold room", "cool shelf", "ripening room", "counter", "field bin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place where batches wait.

    ``half_cooling_h`` (hours) is how long the pulp of fruit in its usual container takes to go
    half of the way to the air's temperature. ``daily_swing_k`` (kelvins) is how far the air goes
    above and below the set point over a day, warmest in mid-afternoon. ``capacity_crates`` is
    None where space is no limit.

    Where ``weather_lag_h`` (hours) is given, the air follows the weather on days that are known,
    instead of the set point: in so many hours it goes half of the way to the air outdoors.
    """

    id: Id
    name: Name
    kind: PlaceKind
    half_cooling_h: HalfCoolingH
    daily_swing_k: DailySwingK = 0.0
    capacity_crates: RoomForCrates | None = None
    weather_lag_h: WeatherLagH | None = None

    @property
    def has_thermostat(self) -> bool:
        """Whether its air can be set; that of field bins, and where the weather is followed, is
        as it comes."""
        return self.kind != "field bin" and self.weather_lag_h is None

    @property
    def is_destination(self) -> bool:
        """Whether fruit can be moved to it: to a bin in the field none is."""
        return self.kind != "field bin"


@dataclass(frozen=True, slots=True)
class UsualPlace:
    """A set point (C), half-cooling time (hours) and daily swing (kelvins)."""

    set_point_c: float
    half_cooling_h: float
    daily_swing_k: float


USUAL_PLACES: Final[Mapping[PlaceKind, UsualPlace]] = MappingProxyType(
    {
        "cold room": UsualPlace(3.0, 8.0, 0.5),
        "cool shelf": UsualPlace(13.0, 8.0, 1.0),
        "ripening room": UsualPlace(20.0, 6.0, 0.5),
        "counter": UsualPlace(21.0, 3.0, 3.0),
        "field bin": UsualPlace(21.0, 4.0, 7.0),
    }
)
"""Where a new place of each kind begins, until the grower says otherwise (common practice, no
source): in the forms, and where a table that is taken in leaves it out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPointChange:
    """From ``at`` (UTC) on, the air of the place is held at ``set_point_c`` degrees Celsius.

    The earliest change of a place also holds for all time before it.
    """

    id: Id
    place_id: Id
    at: Moment
    set_point_c: SetPointC


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureLog:
    """A series of air temperatures of a place, from ``starts_at`` to ``ends_at`` (UTC).

    ``name`` is the file that it came from, ``probe`` which of its columns. ``series`` are the
    values, packed (see :mod:`ripenroom.records.temperature_series`).
    """

    id: Id
    place_id: Id
    name: Line
    probe: Line
    starts_at: Moment
    ends_at: Moment
    series: Series
