"""A temperature series as bytes, and bytes that are none."""

import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.temperature_series import MOST_READINGS, pack, unpack

START_S = 1_790_000_000


@given(
    steps=st.lists(st.integers(1, 10**7), max_size=30),
    hundredths=st.lists(st.integers(-4000, 7000), min_size=31, max_size=31),
)
def test_what_was_packed_comes_back(steps: list[int], hundredths: list[int]) -> None:
    times = np.cumsum([START_S, *steps])
    celsius = np.array(hundredths[: times.size]) / 100.0
    found_s, found_c = unpack(pack(times, celsius))
    assert found_s.tolist() == times.tolist()
    assert found_c.tolist() == celsius.tolist()


def test_a_year_of_minutes_takes_about_half_a_megabyte() -> None:
    noise = np.random.default_rng(7).normal(0.0, 0.2, 525_600)
    times = START_S + 60 * np.arange(noise.size)
    celsius = 5.0 + np.sin(times / 3600.0) + noise
    packed = pack(times, celsius)
    assert len(packed) < 650_000
    assert np.abs(unpack(packed)[1] - celsius).max() <= 0.005 + 1e-12


@pytest.mark.parametrize(
    ("times", "celsius"),
    [
        ([], []),
        ([START_S, START_S], [1.0, 2.0]),
        ([START_S, START_S - 1], [1.0, 2.0]),
        ([-1], [1.0]),
        ([8 * 10**9], [1.0]),
        ([START_S], [1.0, 2.0]),
        ([START_S, START_S + 2**32 + 60], [1.0, 2.0]),
        ([START_S], [np.nan]),
        ([START_S], [np.inf]),
        ([START_S], [-127.0]),
        ([START_S], [85.0]),
    ],
)
def test_what_no_thermometer_writes_is_refused(times: list[int], celsius: list[float]) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        pack(np.array(times, np.int64), celsius)


GOOD = pack(START_S + 600 * np.arange(50), np.linspace(2.0, 9.0, 50))


@given(st.binary(max_size=200))
def test_any_bytes_are_refused_or_read(junk: bytes) -> None:
    for series in (junk, GOOD[:18] + junk):
        with pytest.raises(ValueError, match=r"\w"):
            unpack(series)


@given(st.integers(0, len(GOOD) - 1), st.integers(1, 255))
def test_a_changed_byte_is_refused_or_gives_sound_readings(where: int, turn: int) -> None:
    changed = bytearray(GOOD)
    changed[where] ^= turn
    try:
        times, celsius = unpack(bytes(changed))
    except ValueError:
        return
    assert (np.diff(times) > 0).all()
    assert celsius.min() >= -40.0
    assert celsius.max() <= 70.0


@pytest.mark.parametrize("size", [2, MOST_READINGS])
def test_bytes_that_swell_are_stopped(size: int) -> None:
    bomb = struct.pack("<4sIqh", b"RTS1", size, START_S, 400) + zlib.compress(bytes(10**8))
    tracemalloc.start()
    with pytest.raises(ValueError, match="another length"):
        unpack(bomb)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 40_000_000


def test_more_readings_than_any_season_has_are_refused_unread() -> None:
    with pytest.raises(ValueError, match="no temperature series"):
        unpack(struct.pack("<4sIqh", b"RTS1", MOST_READINGS + 1, START_S, 400))
