"""Which set points are worth trying in a place, and what the crops stand."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.place import PlaceKind, SetPointChange, TemperatureLog
from ripenroom.records.temperature_series import pack, unpack
from ripenroom.season.crop_kinds import CropKind

_ABOVE_FREEZING_K = 0.5
"""No thermostat holds closer than this to where fruit freezes."""

_COLDEST_C, _WARMEST_C = 0.0, 25.0
"""Limits where no crop at hand sets one; few fruit are ripened any warmer (an estimate)."""

_STEPS = (0.0, 1.0, 2.0, 4.0, 6.0, 8.0, 12.0, 16.0)
"""Steps from today's setting: finer near it, since that is where thermostats are turned."""

_STEP_K = {"metric": 1.0, "us": 10.0 / 9.0}
"""One degree Celsius, or two Fahrenheit."""

_COLD_KINDS: tuple[PlaceKind, ...] = ("cold room", "cool shelf")
_RIPENING_KINDS: tuple[PlaceKind, ...] = ("ripening room",)


@dataclass(frozen=True, slots=True)
class SettingLimits:
    """Coldest and warmest setting (C) that fruit at hand stand, and which crop says so."""

    lowest_c: float
    highest_c: float
    lowest_crop: str | None
    highest_crop: str | None

    def hold(self, celsius: float) -> bool:
        """Whether a setting is within the limits."""
        return self.lowest_c <= celsius <= self.highest_c


def limits_of(crops: Mapping[str, CropProfile], at_hand: Collection[CropKind]) -> SettingLimits:
    """The limits of the kinds at hand, for a place that any of them may be in."""
    coldest: list[tuple[float, str]] = []
    warmest: list[tuple[float, str]] = []
    for kind in sorted(at_hand, key=lambda kind: (kind.crop, kind.group or "")):
        key, profile = kind.crop, kind.profile_in(crops)
        storage, ripening = profile.storage, profile.ripening
        freezes = storage.freezing_c
        low_c = storage.best_low_c if freezes is None else freezes.value + _ABOVE_FREEZING_K
        coldest.append((low_c, key))
        if ripening is not None:
            named = (c for c in (ripening.limit_c, ripening.stop_c) if c is not None)
            warmest.extend((c, key) for c in named)
    lowest_c, lowest_crop = max(coldest, default=(_COLDEST_C, None))
    highest_c, highest_crop = min(warmest, default=(_WARMEST_C, None))
    return SettingLimits(lowest_c, highest_c, lowest_crop, highest_crop)


def settings_around(
    today_c: float, number: int, widest_step: int, units: str, limits: SettingLimits
) -> tuple[float, ...]:
    """Today's setting and the nearest others within limits, increasing; at most ``number``.

    Each step is ``widest_step`` degrees of the season's unit system or a multiple of it.
    """
    step = widest_step * _STEP_K[units]
    found = [round(today_c, 2)]
    for steps in _STEPS[1:]:
        near = (round(today_c + sign * steps * step, 2) for sign in (-1.0, 1.0))
        found += [celsius for celsius in near if limits.hold(celsius)]
    return tuple(sorted(found[:number]))


def without_readings_ahead(book: Book, now: datetime) -> Book:
    """The book with its temperature logs cut off now: later only set points tell the air."""
    ahead = [log for log in book.temperature_logs.values() if log.ends_at >= now]
    cut = [log for log in (_cut_off(log, now.timestamp()) for log in ahead) if log is not None]
    return book.with_changes(cut, ahead) if ahead else book


def _cut_off(log: TemperatureLog, at_s: float) -> TemperatureLog | None:
    times_s, celsius = unpack(log.series)
    seen = times_s < at_s
    if not seen.any():
        return None
    last = datetime.fromtimestamp(int(times_s[seen][-1]), UTC)
    return replace(log, ends_at=last, series=pack(times_s[seen], celsius[seen]))


def held_at(book: Book, now: datetime, set_points_c: Mapping[str, float]) -> Book:
    """The book as it would be with some places held at set points from now on."""
    later = [
        change
        for change in book.set_points.values()
        if change.place_id in set_points_c and change.at >= now
    ]
    put = [
        SetPointChange(id=f"tried-{place_id}", place_id=place_id, at=now, set_point_c=celsius)
        for place_id, celsius in set_points_c.items()
    ]
    return book.with_changes(put, later)


@dataclass(frozen=True, slots=True)
class Thermostats:
    """Ids of the places that have one; a cold and a ripening room are a pair."""

    pair: tuple[str, str] | None
    singles: tuple[str, ...]


def thermostats(book: Book, crates_in: Mapping[str, float]) -> Thermostats:
    """The places whose set points are worth advice; ``crates_in`` each is what stands there now.

    A pair is made of the rooms that hold most, of these or by their size.
    """

    def fullest(kinds: tuple[PlaceKind, ...]) -> list[str]:
        places = [place for place in book.places.values() if place.kind in kinds]
        return [
            place.id
            for place in sorted(
                places,
                key=lambda p: (
                    kinds.index(p.kind),
                    -crates_in.get(p.id, 0.0),
                    -(p.capacity_crates or 0),
                    p.id,
                ),
            )
        ]

    cold, ripening = fullest(_COLD_KINDS), fullest(_RIPENING_KINDS)
    if cold and ripening:
        return Thermostats((cold[0], ripening[0]), (*cold[1:], *ripening[1:]))
    return Thermostats(None, (*cold, *ripening))
