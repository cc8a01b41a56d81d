"""A whole season as JSON (RFC 8259): open, readable without ripenroom, and read back by it.

The file is one object: ``format`` is ``"ripenroom season"``, ``version`` counts changes of the
layout, ``season`` holds the season's own record, and each kind of record has a list under the
name of its shelf in :class:`~ripenroom.records.book.Book` (``batches``, ``moves``, …). A record
is an object with the fields of its class. Moments are ISO 8601 in UTC, days ISO dates, hand feels
and readings lists, packed temperature series Base64 (RFC 4648). A field may be missing if its
class has a value to put there.
"""

from functools import cache
from pathlib import Path
from types import GenericAlias
from typing import Any

import msgspec

from ripenroom.exchange.strict_json import (
    content_of,
    decoded,
    members_of,
    record_of,
    require_members_once,
    strict,
)
from ripenroom.private_file import private_file
from ripenroom.records.book import SHELF_OF, Book, is_id, missing_references
from ripenroom.records.counts import require_room
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import plain, records_out_of_reach

FORMAT = "ripenroom season"
VERSION = 1

_MOST_BYTES = 60_000_000
"""A season of fifty year-long temperature logs is smaller."""

_KINDS = {shelf: kind for kind, shelf in SHELF_OF.items()} | {"season": SeasonDetails}


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
        "season": plain(book.season),
    }
    for shelf in SHELF_OF.values():
        whole[shelf] = [plain(record) for record in getattr(book, shelf).values()]
    return msgspec.json.format(msgspec.json.encode(whole), indent=1).decode("utf-8") + "\n"


def read_json(path: Path) -> Book:
    """The records in a JSON file; raises :class:`Refusal` that says what is wrong and where."""
    content = content_of(path, _MOST_BYTES)
    _require_layout(content, path.name)
    whole = members_of(decoded(content, _layout(), _KINDS, path.name))
    require_members_once(content, path.name)  # msgspec lets the last of them count
    del content
    season = _record(SeasonDetails, whole["season"], "season")
    if not is_id(season.id):  # its copies lie in a folder of that name
        raise Refusal("season", "season, “id”: must be a UUID.")
    shelves: dict[str, dict[str, Any]] = {}
    for kind, shelf in SHELF_OF.items():
        shelves[shelf] = {}
        for number, each in enumerate(whole[shelf]):
            record = _record(kind, each, f"{shelf}[{number}]")
            if record.id in shelves[shelf]:
                raise Refusal(shelf, "{where}: its id was used before.", where=f"{shelf}[{number}]")
            shelves[shelf][record.id] = record
    book = Book(season=season, **shelves)
    _require_whole(book)
    for _, refusal in records_out_of_reach(book):
        raise refusal
    require_room(book)
    return book


def _require_whole(book: Book) -> None:
    """Refuse a record that refers to one that is not there."""
    for record, field, other, key in missing_references(book):
        shelf = SHELF_OF[type(record)]
        raise Refusal(
            shelf,
            "{where}, “{name}”: “{other}” has no record with the id “{key}”. Add it there, or take "
            "this record out.",
            where=f"{shelf}[{list(getattr(book, shelf)).index(record.id)}]",
            name=field,
            other=other,
            key=key,
        )


class _Head(msgspec.Struct):
    """What says how the rest is laid out."""

    format: str = ""
    version: int = 0


def _require_layout(content: bytes, file: str) -> None:
    try:
        head = decoded(content, _Head, {}, file)
    except Refusal as refusal:
        if refusal.field != "version":
            raise
        head = _Head(FORMAT)
    if head.format != FORMAT:
        raise Refusal("format", "This is not a season that ripenroom exported as JSON.")
    if head.version != VERSION:
        raise Refusal(
            "version",
            "This season was written in layout {version}; here only layout {known} is read.",
            version=head.version,
            known=VERSION,
        )


@cache
def _layout() -> type[msgspec.Struct]:
    """The whole file: the season, and a list for each kind of record."""
    lists: list[tuple[str, Any, Any]] = [
        (shelf, GenericAlias(list, (strict(kind),)), msgspec.field(default_factory=list))
        for kind, shelf in SHELF_OF.items()
    ]
    return msgspec.defstruct(
        "Whole",
        [("format", str), ("version", int), ("season", strict(SeasonDetails)), *lists],
        kw_only=True,
        forbid_unknown_fields=True,
    )


def _record(kind: type, found: msgspec.Struct, where: str) -> Any:
    try:
        return record_of(kind, found)
    except Refusal as refusal:
        raise Refusal(
            where,
            "{where}, “{name}”: {reason}",
            where=where,
            name=refusal.field,
            reason=refusal.message,
        ) from refusal
