"""Fields to columns and back."""

from datetime import UTC, date, datetime, timedelta
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Meta

from ripenroom.records.file.mapping import Codec, codec_for

MOMENT = codec_for(datetime)
FLAG = codec_for(bool)
FIGURES = codec_for(tuple[float, ...])


def there_and_back(codec: Codec, value: object) -> object:
    assert codec.encode is not None
    assert codec.decode is not None
    return codec.decode(codec.encode(value))


@pytest.mark.parametrize(
    ("annotation", "column_type"),
    [
        (str, "TEXT"),
        (int | None, "INTEGER"),
        (Annotated[int, Meta(ge=1)] | None, "INTEGER"),
        (Annotated[float, Meta(ge=1)], "REAL"),
        (datetime | None, "INTEGER"),
        (date, "TEXT"),
        (bytes, "BLOB"),
        (Literal["a", "b"] | None, "TEXT"),
        (tuple[int, int] | None, "TEXT"),
        (Annotated[tuple[float, ...], Meta(max_length=3)], "TEXT"),
    ],
)
def test_a_type_has_its_column(annotation: object, column_type: str) -> None:
    assert codec_for(annotation).column_type == column_type


@pytest.mark.parametrize("annotation", [dict, list, bytearray])
def test_a_type_no_column_can_hold_is_an_error(annotation: object) -> None:
    with pytest.raises(TypeError, match="no column"):
        codec_for(annotation)


@given(st.datetimes(timezones=st.timezones()))
def test_a_moment_comes_back_to_the_second_in_utc(moment: datetime) -> None:
    try:
        expected = moment.astimezone(UTC).replace(microsecond=0)
    except OverflowError:  # the year 1 or 9999, seen from the other side of the world
        return
    back = there_and_back(MOMENT, moment)
    assert isinstance(back, datetime)
    assert back == expected
    assert back.utcoffset() == timedelta(0)


def test_a_repeated_hour_keeps_its_two_moments_apart() -> None:
    berlin = ZoneInfo("Europe/Berlin")
    first = datetime(2026, 10, 25, 2, 30, tzinfo=berlin)
    assert MOMENT.encode is not None
    assert MOMENT.encode(first.replace(fold=1)) == MOMENT.encode(first) + 3600  # type: ignore[operator]


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False)).map(tuple))
def test_readings_come_back_exactly(readings: tuple[float, ...]) -> None:
    back = there_and_back(FIGURES, readings)
    assert isinstance(back, list)
    assert tuple(back) == readings


@pytest.mark.parametrize("flag", [True, False])
def test_a_flag_comes_back(flag: bool) -> None:
    assert there_and_back(FLAG, flag) is flag


@pytest.mark.parametrize(
    ("codec", "stored"),
    [(FIGURES, "[" * 100_000), (FIGURES, "[NaN]"), (FIGURES, "[1,"), (MOMENT, 10**18)],
)
def test_what_was_never_written_is_told(codec: Codec, stored: object) -> None:
    assert codec.decode is not None
    with pytest.raises((ValueError, OverflowError)):
        codec.decode(stored)
