"""A whole season as JSON (RFC 8259): open, readable without ripenroom, and read back by it.

The file is one object: ``format`` is ``"ripenroom season"``, ``version`` counts changes of the
layout, ``season`` holds the season's own record, and each kind of record has a list under the
name of its shelf in :class:`~ripenroom.records.book.Book` (``batches``, ``moves``, …). A record
is an object with the fields of its class. Moments are ISO 8601 in UTC, days ISO dates, hand feels
and readings lists, packed temperature series Base64 (RFC 4648). A field may be missing if its
class has a value to put there.
"""

import base64
import binascii
import json
import math
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Literal, Union, cast, get_args, get_origin, get_type_hints

from ripenroom.exchange.json_text import load_json
from ripenroom.private_file import private_file
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.identity import is_id
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import Season

FORMAT = "ripenroom season"
VERSION = 1

_MOST_BYTES = 60_000_000
"""A season of fifty year-long temperature logs is smaller."""


def write_json(book: Book, path: Path) -> None:
    """Write every record of a season as JSON."""
    text = json_text(book)
    with private_file(path) as unfinished:
        unfinished.write_text(text, encoding="utf-8", newline="\n")


def json_text(book: Book) -> str:
    """Every record of a season as JSON text."""
    whole: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "season": _plain(book.season),
    }
    for shelf in SHELF_OF.values():
        whole[shelf] = [_plain(record) for record in getattr(book, shelf).values()]
    return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def read_json(path: Path) -> Book:
    """The records in a JSON file; raises :class:`Refusal` that says what is wrong and where.

    What the records mean together is checked when they are put into a season file.
    """
    return _book(load_json(path, _MOST_BYTES))


def _plain(record: Record) -> dict[str, Any]:
    return {field.name: _plain_value(getattr(record, field.name)) for field in fields(record)}


def _plain_value(value: object) -> object:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    return value


def _book(whole: object) -> Book:
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise Refusal("format", "This is not a season written by ripenroom as JSON.")
    if whole.get("version") != VERSION:
        raise Refusal(
            "version",
            "This season was written in layout {version}; here only layout {known} is read.",
            version=repr(whole.get("version"))[:20],
            known=VERSION,
        )
    season = _record(Season, whole.get("season"), "season")
    if not is_id(season.id):
        raise Refusal("season", "season, “id”: must be a UUID.")
    shelves: dict[str, dict[str, Any]] = {}
    for kind, shelf in SHELF_OF.items():
        listed = whole.get(shelf, [])
        if not isinstance(listed, list):
            raise Refusal(shelf, "“{shelf}” must be a list.", shelf=shelf)
        shelves[shelf] = {}
        for number, each in enumerate(listed):
            record = _record(kind, each, f"{shelf}[{number}]")
            if record.id in shelves[shelf]:
                raise Refusal(shelf, "{where}: its id was used before.", where=f"{shelf}[{number}]")
            shelves[shelf][record.id] = record
    return Book(season=cast(Season, season), **shelves)


def _record(kind: type, given: object, where: str) -> Record:
    if not isinstance(given, Mapping):
        raise Refusal(where, "{where} must be an object.", where=where)
    readers = _readers(kind)
    unknown = sorted(set(map(str, given)) - readers.keys())
    if unknown:
        raise Refusal(
            where, "{where}: no field is called “{name}”.", where=where, name=unknown[0][:40]
        )
    values = {}
    for name, (reader, needed) in readers.items():
        if name in given:
            try:
                values[name] = reader(given[name])
            except (ValueError, OverflowError, binascii.Error) as error:
                raise Refusal(
                    where,
                    "{where}, “{name}”: {reason}.",
                    where=where,
                    name=name,
                    reason=str(error),
                ) from error
        elif needed:
            raise Refusal(where, "{where}: “{name}” is missing.", where=where, name=name)
    return cast(Record, kind(**values))


_Reader = Callable[[Any], Any]


@cache
def _readers(kind: type) -> dict[str, tuple[_Reader, bool]]:
    """How each field of a record is read, and whether it must be there."""
    hints = get_type_hints(kind)
    return {
        field.name: (_reader(hints[field.name]), field.default is MISSING) for field in fields(kind)
    }


def _reader(hint: Any) -> _Reader:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        [other] = [_reader(part) for part in inner if part is not NoneType]
        return lambda value: None if value is None else other(value)
    if origin is Literal:
        return lambda value: _one_of(value, inner)
    if origin is tuple:
        item = _reader(inner[0])
        size = None if Ellipsis in inner else len(inner)
        return lambda value: _tuple(value, item, size)
    return _BY_TYPE[hint]


def _one_of(value: object, allowed: tuple[object, ...]) -> object:
    if value not in allowed:
        raise ValueError(f"must be one of {', '.join(map(str, allowed))}")
    return value


def _tuple(value: object, item: _Reader, size: int | None) -> tuple[object, ...]:
    if not isinstance(value, list) or (size is not None and len(value) != size):
        raise ValueError("must be a list" if size is None else f"must be a list of {size}")
    return tuple(map(item, value))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("must be a text")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError("must be true or false")
    return value


def _whole_number(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("must be a whole number")
    return value


def _figure(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("must be a number")
    return float(value)


def _moment(value: object) -> datetime:
    moment = datetime.fromisoformat(_text(value))
    if moment.tzinfo is None:
        raise ValueError("must have a time zone, such as 2026-09-14T08:30:00Z")
    return moment.astimezone(UTC).replace(microsecond=0)


def _day(value: object) -> date:
    return date.fromisoformat(_text(value))


def _bytes(value: object) -> bytes:
    return base64.b64decode(_text(value), validate=True)


_BY_TYPE: dict[Any, _Reader] = {
    str: _text,
    bool: _flag,
    int: _whole_number,
    float: _figure,
    datetime: _moment,
    date: _day,
    bytes: _bytes,
}
