"""How a value that SQLite has no type for is kept in a column.

Texts, numbers and bytes are kept as they are, and a date is ISO text, so that it reads and sorts
as it is. A moment is whole seconds of UTC since 1970. A short tuple (feel counts, readings) is
JSON text: it is always read and written whole, together with its batch, and never searched.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Literal, TypeAlias, get_origin

import msgspec

from ripenroom.records.declared import bare

Stored: TypeAlias = str | int | float | bytes | None
"""What a column holds."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Codec:
    """What a column's values are turned into and back; None for "as they are".

    ``decode`` raises ``ValueError`` or ``OverflowError`` for what it never wrote.
    """

    column_type: Literal["TEXT", "INTEGER", "REAL", "BLOB"]
    encode: Callable[[Any], Stored] | None = None
    decode: Callable[[Any], object] | None = None


def codec_for(hint: object) -> Codec:
    """The codec of what a field declares; raises ``TypeError`` for what no column can hold."""
    kind = bare(hint)
    if get_origin(kind) is Literal:
        return _BY_TYPE[str]
    if get_origin(kind) is tuple:
        return _TUPLE
    if kind in _BY_TYPE:
        return _BY_TYPE[kind]
    raise TypeError(f"no column can hold {hint!r}")


def _encode_moment(value: datetime) -> int:
    return (value - _EPOCH) // timedelta(seconds=1)


def _decode_moment(seconds: int) -> datetime:
    return _EPOCH + timedelta(seconds=seconds)


def _decode_flag(value: int) -> object:
    return bool(value) if value in (0, 1) else value


def _decode_tuple(text: str) -> object:
    try:
        return msgspec.json.decode(text)
    except RecursionError as error:
        raise ValueError("nested too deep") from error


def _encode_tuple(value: tuple[Any, ...]) -> str:
    return json.dumps(msgspec.to_builtins(value))


_TUPLE = Codec("TEXT", _encode_tuple, _decode_tuple)

_BY_TYPE: dict[object, Codec] = {
    str: Codec("TEXT"),
    bool: Codec("INTEGER", int, _decode_flag),
    bytes: Codec("BLOB"),
    int: Codec("INTEGER"),
    float: Codec("REAL"),
    datetime: Codec("INTEGER", _encode_moment, _decode_moment),
    date: Codec("TEXT"),
}
