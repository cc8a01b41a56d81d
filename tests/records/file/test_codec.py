"""Fields to columns and back."""

from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.file.codec import (
    DATE,
    FIGURE,
    FIGURES,
    INTEGER,
    INTEGERS,
    MOMENT,
    TEXT,
    codec_for,
)
from ripenroom.records.refusal import Refusal


@pytest.mark.parametrize(
    ("annotation", "expected"),
    [
        (str, (TEXT, False)),
        (int | None, (INTEGER, True)),
        (float, (FIGURE, False)),
        (datetime | None, (MOMENT, True)),
        (date, (DATE, False)),
        (Literal["a", "b"] | None, (TEXT, True)),
        (tuple[int, int] | None, (INTEGERS, True)),
        (tuple[float, ...], (FIGURES, False)),
    ],
)
def test_a_type_has_its_codec(annotation: object, expected: object) -> None:
    assert codec_for(annotation) == expected


@pytest.mark.parametrize("annotation", [dict, int | str, bytearray])
def test_a_type_no_column_can_hold_is_an_error(annotation: object) -> None:
    with pytest.raises(TypeError, match="no column"):
        codec_for(annotation)


@given(st.datetimes(timezones=st.timezones()))
def test_a_moment_comes_back_to_the_second_in_utc(moment: datetime) -> None:
    assert MOMENT.decode is not None
    try:
        expected = moment.astimezone(UTC).replace(microsecond=0)
    except OverflowError:  # the year 1 or 9999, seen from the other side of the world
        return
    back = MOMENT.decode(MOMENT.encode("at", moment))
    assert isinstance(back, datetime)
    assert back == expected
    assert back.utcoffset() == timedelta(0)


def test_a_repeated_hour_keeps_its_two_moments_apart() -> None:
    berlin = ZoneInfo("Europe/Berlin")
    first = datetime(2026, 10, 25, 2, 30, tzinfo=berlin)
    assert MOMENT.encode("at", first.replace(fold=1)) == MOMENT.encode("at", first) + 3600  # type: ignore[operator]


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False)).map(tuple))
def test_readings_come_back_exactly(readings: tuple[float, ...]) -> None:
    assert FIGURES.decode is not None
    assert FIGURES.decode(FIGURES.encode("readings", readings)) == readings


def test_whole_numbers_given_as_readings_become_figures() -> None:
    assert FIGURES.encode("readings", (5, 7)) == "[5.0, 7.0]"


def test_a_negative_zero_loses_its_sign_as_in_sqlite() -> None:
    assert str(FIGURE.encode("set_point_c", -0.0)) == "0.0"


@pytest.mark.parametrize(
    ("codec", "value"),
    [
        (TEXT, "a\0b"),
        (TEXT, "half \ud83c of a peach"),
        (INTEGER, 2**63),
        (INTEGERS, (1, -(2**64))),
        (FIGURE, float("nan")),
        (FIGURES, (1.0, float("inf"))),
        (MOMENT, datetime(2026, 9, 14)),  # noqa: DTZ001 - that it has no zone is the point
        (DATE, datetime(2026, 9, 14, tzinfo=UTC)),
    ],
)
def test_what_no_file_can_keep_is_refused_at_its_field(codec: object, value: object) -> None:
    with pytest.raises(Refusal) as refused:
        codec.encode("the_field", value)  # type: ignore[attr-defined]
    assert refused.value.field == "the_field"
