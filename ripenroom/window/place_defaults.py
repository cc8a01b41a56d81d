"""What is usual for each kind of place: where a new one begins, to be changed by the grower."""

from dataclasses import dataclass

from ripenroom.records.place import PlaceKind


@dataclass(frozen=True, slots=True)
class PlaceDefaults:
    """A set point (°C), half-cooling time (hours) and daily swing (kelvins)."""

    set_point_c: float
    half_cooling_h: float
    daily_swing_k: float


DEFAULTS: dict[PlaceKind, PlaceDefaults] = {
    "cold room": PlaceDefaults(3.0, 8.0, 0.5),
    "cool shelf": PlaceDefaults(13.0, 8.0, 1.0),
    "ripening room": PlaceDefaults(20.0, 6.0, 0.5),
    "counter": PlaceDefaults(21.0, 3.0, 3.0),
    "field bin": PlaceDefaults(21.0, 4.0, 7.0),
}
