"""How one field of a record is kept in one column.

Text stays text; whole numbers and figures stay numbers. A date is ISO text, so that it reads and
sorts as it is. A moment is whole seconds of UTC since 1970: what a person writes down has no
finer grain, so a fraction of a second is dropped. A short tuple (feel counts, readings) is JSON
text: it is always read and written whole, together with its batch, and never searched.
"""

import json
import math
import operator
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from types import NoneType, UnionType
from typing import Any, Literal, TypeAlias, Union, get_args, get_origin

from ripenroom.records.refusal import Refusal

Stored: TypeAlias = str | int | float | bytes | None
"""What a column holds."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_LARGEST_INTEGER = 2**63 - 1

LARGEST_BYTES = 8_000_000
"""More than any thermometer writes in a season, and as much as a connection reads back."""


@dataclass(frozen=True, slots=True)
class Codec:
    """``encode(field name, value)`` raises :class:`Refusal`; ``decode`` is None for "as it is"."""

    column_type: Literal["TEXT", "INTEGER", "REAL", "BLOB"]
    encode: Callable[[str, Any], Stored]
    decode: Callable[[Any], object] | None = None


def codec_for(annotation: object) -> tuple[Codec, bool]:
    """The codec of a field's type, and whether None is allowed too.

    Raises ``TypeError`` for a type that no column can hold.
    """
    if get_origin(annotation) in (Union, UnionType):
        inner = [part for part in get_args(annotation) if part is not NoneType]
        if len(inner) == 1:
            return codec_for(inner[0])[0], True
    elif get_origin(annotation) is Literal:
        return TEXT, False
    elif get_origin(annotation) is tuple:
        return (INTEGERS if get_args(annotation)[0] is int else FIGURES), False
    elif annotation in _BY_TYPE:
        return _BY_TYPE[annotation], False
    raise TypeError(f"no column can hold {annotation!r}")


def _encode_text(field: str, value: str) -> str:
    # SQLite's own functions cut a text at a NUL, and UTF-8 has no place for half a character.
    if "\0" in value or any("\ud800" <= character <= "\udfff" for character in value):
        raise Refusal(field, "This text holds a character that cannot be kept. Type it anew.")
    return value


def _encode_integer(field: str, value: int) -> int:
    number = operator.index(value)
    if abs(number) > _LARGEST_INTEGER:
        raise Refusal(field, "{value} is too large to be kept.", value=number)
    return number


def _encode_figure(field: str, value: float) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise Refusal(field, "{value} is not a number that can be kept.", value=number)
    return number + 0.0  # -0.0 becomes 0.0, as SQLite makes it


def _encode_flag(field: str, value: bool) -> int:
    return int(value)


def _encode_bytes(field: str, value: bytes) -> bytes:
    if len(value) > LARGEST_BYTES:
        raise Refusal(field, "This is too large to be kept: {size} bytes.", size=len(value))
    return bytes(value)


def _encode_moment(field: str, value: datetime) -> int:
    if value.tzinfo is None:
        raise Refusal(field, "{value} has no time zone.", value=value.isoformat())
    return (value - _EPOCH) // timedelta(seconds=1)


def _decode_moment(seconds: int) -> datetime:
    return _EPOCH + timedelta(seconds=seconds)


def _encode_date(field: str, value: date) -> str:
    if isinstance(value, datetime):
        raise Refusal(field, "{value} is a moment, not a day.", value=value.isoformat())
    return value.isoformat()


def _encode_integers(field: str, value: tuple[int, ...]) -> str:
    return json.dumps([_encode_integer(field, number) for number in value])


def _encode_figures(field: str, value: tuple[float, ...]) -> str:
    return json.dumps([_encode_figure(field, number) for number in value])


def _decode_tuple(text: str) -> tuple[object, ...]:
    return tuple(json.loads(text))


TEXT = Codec("TEXT", _encode_text)
INTEGER = Codec("INTEGER", _encode_integer)
FIGURE = Codec("REAL", _encode_figure)
MOMENT = Codec("INTEGER", _encode_moment, _decode_moment)
FLAG = Codec("INTEGER", _encode_flag, bool)
BYTES = Codec("BLOB", _encode_bytes)
DATE = Codec("TEXT", _encode_date, date.fromisoformat)
INTEGERS = Codec("TEXT", _encode_integers, _decode_tuple)
FIGURES = Codec("TEXT", _encode_figures, _decode_tuple)

_BY_TYPE: dict[object, Codec] = {
    str: TEXT,
    bool: FLAG,
    bytes: BYTES,
    int: INTEGER,
    float: FIGURE,
    datetime: MOMENT,
    date: DATE,
}
