"""Readings of a thermometer as bytes: exact to a second and to a hundredth of a degree.

Times and temperatures are kept as steps from one to the next, bytes of like weight side by side,
and squeezed: a year at one-minute steps takes about half a megabyte. The bytes may come from a
stranger's file, so that nothing is believed before it is checked.
"""

import struct
import zlib

import numpy as np
import numpy.typing as npt

Seconds = npt.NDArray[np.int64]
"""Seconds of UTC since 1970, increasing."""

Celsius = npt.NDArray[np.float64]

MOST_READINGS = 2_000_000
"""Ten-second steps for 230 days; a longer series is refused."""

COLDEST_C, WARMEST_C = -40.0, 70.0
"""What a thermometer among fruit can have seen; all else is a fault of the sensor."""

_HEAD = struct.Struct("<4sIqh")
"""Mark, how many readings, the first time (s) and the first temperature (hundredths of C)."""

_MARK = b"RTS1"
_LATEST_S = 7_258_118_400
"""2200-01-01."""

_LONGEST_S = 2**31


def pack(times_s: Seconds, celsius: npt.ArrayLike) -> bytes:
    """Bytes of a series; raises ``ValueError`` for one that :func:`unpack` would not take."""
    times = np.asarray(times_s, np.int64)
    exact = np.asarray(celsius, float)
    if not np.isfinite(exact).all():
        raise ValueError("a temperature is not a number")
    hundredths = np.rint(exact * 100.0)
    _require_sound(times, hundredths / 100.0)
    steps = np.diff(times).astype("<u4")
    turns = np.diff(hundredths.astype(np.int32)).astype("<i2")
    head = _HEAD.pack(_MARK, times.size, int(times[0]), int(hundredths[0]))
    return head + zlib.compress(_planes(steps) + _planes(turns), 6)


def unpack(series: bytes) -> tuple[Seconds, Celsius]:
    """Times and temperatures of :func:`pack`; raises ``ValueError`` for any other bytes."""
    if len(series) < _HEAD.size:
        raise ValueError("the series is cut off")
    mark, size, first_s, first = _HEAD.unpack_from(series)
    if mark != _MARK or not 1 <= size <= MOST_READINGS:
        raise ValueError("this is no temperature series")
    wanted = (size - 1) * 6
    squeezed = zlib.decompressobj()
    try:
        # Never more than is wanted, whatever the bytes would swell to.
        plain = squeezed.decompress(series[_HEAD.size :], wanted + 1)
    except zlib.error:
        raise ValueError("the series is damaged") from None
    if len(plain) != wanted or not squeezed.eof or squeezed.unused_data:
        raise ValueError("the series has another length than it says")
    steps = _from_planes(plain[: (size - 1) * 4], "<u4").astype(np.int64)
    turns = _from_planes(plain[(size - 1) * 4 :], "<i2").astype(np.int64)
    times = first_s + np.concatenate([[0], np.cumsum(steps)])
    celsius = (first + np.concatenate([[0], np.cumsum(turns)])) / 100.0
    _require_sound(times, celsius)
    return times, celsius


def span_of(series: bytes) -> tuple[int, int]:
    """First and last time (s) of a series; raises ``ValueError`` as :func:`unpack` does."""
    times_s, _ = unpack(series)
    return int(times_s[0]), int(times_s[-1])


def _require_sound(times_s: Seconds, celsius: Celsius) -> None:
    if not 1 <= times_s.size <= MOST_READINGS or times_s.shape != celsius.shape:
        raise ValueError(f"a series has from 1 to {MOST_READINGS} readings, each with its time")
    steps = np.diff(times_s)
    if (
        times_s[0] < 0
        or times_s[-1] > _LATEST_S
        or (steps <= 0).any()
        or (steps > _LONGEST_S).any()
    ):
        raise ValueError("times must increase, by less than a century, between 1970 and 2200")
    if celsius.min() < COLDEST_C or celsius.max() > WARMEST_C:
        raise ValueError(f"temperatures must be from {COLDEST_C:g} to {WARMEST_C:g} C")


def _planes(numbers: npt.NDArray[np.generic]) -> bytes:
    """First bytes of all numbers, then all second bytes and so on: like next to like."""
    return numbers.view(np.uint8).reshape(-1, numbers.itemsize).T.tobytes()


def _from_planes(planes: bytes, kind: str) -> npt.NDArray[np.generic]:
    width = np.dtype(kind).itemsize
    rows = np.frombuffer(planes, np.uint8).reshape(width, -1).T
    return np.ascontiguousarray(rows).view(kind).ravel()
