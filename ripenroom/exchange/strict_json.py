"""JSON (RFC 8259) from files of strangers, read into records as they are declared.

Nothing else is built, nothing is ignored. The text is checked while it is read, so that what is
wrong costs no more than the text before it: a member that is unknown, missing, of another type or
beyond its limit ends the reading.

RFC 8259 leaves open what an object with a member twice means (section 4). One that is read for the
last of them and shown elsewhere for the first would be two files in one, so it is none here.
"""

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from functools import cache
from pathlib import Path
from typing import Any, Final, TypeVar, get_args

import msgspec

from ripenroom.bounded_file import read_file
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.records.refusal_words import bare, expected, hints_of, limit_of
from ripenroom.records.validation import in_whole_seconds, record_from
from ripenroom.texts import tr

Layout = TypeVar("Layout")
Declared = TypeVar("Declared")

_LONGEST_ITEM = 40
"""Bytes of a figure in a list, with the blanks and the comma around it."""

_PATH = re.compile(r" - at `\$\.?([^`]*)`\Z")
_UNKNOWN = re.compile(r"Object contains unknown field `(.*)`\Z", re.DOTALL)
_MISSING = re.compile(r"Object missing required field `(.*)`\Z", re.DOTALL)


@cache
def strict(kind: type) -> type[msgspec.Struct]:
    """A record's fields with what they declare, as an object with no other members."""
    declared: list[tuple[str, Any] | tuple[str, Any, Any]] = []
    hints = hints_of(kind)
    for field in fields(kind):
        with_default = () if field.default is MISSING else (field.default,)
        hint = msgspec.Raw if _is_endless(hints[field.name]) else hints[field.name]
        declared.append((field.name, hint, *with_default))
    return msgspec.defstruct(kind.__name__, declared, kw_only=True, forbid_unknown_fields=True)


def _is_endless(hint: Any) -> bool:
    """Whether a field is a list of any length, which msgspec builds before it looks how long."""
    return Ellipsis in get_args(bare(hint))


def members_of(found: msgspec.Struct) -> dict[str, Any]:
    """The members of what was read, by name."""
    return {name: getattr(found, name) for name in found.__struct_fields__}


def record_of(kind: type[Declared], found: msgspec.Struct) -> Declared:
    """The record that was read as :func:`strict`; raises :class:`Refusal` at a field."""
    values = members_of(found)
    for name, value in values.items():
        if isinstance(value, msgspec.Raw):
            values[name] = _list_in(value, name, hints_of(kind)[name])
    return record_from(kind, in_whole_seconds(kind, values))


def _list_in(raw: msgspec.Raw, name: str, hint: Any) -> object:
    limit = limit_of(hint)
    most = (limit and limit.max_length) or 0
    try:
        if memoryview(raw).nbytes <= most * _LONGEST_ITEM:
            return msgspec.json.decode(raw)
    except RecursionError:
        pass
    raise Refusal(name, "must be {expected}.", expected=expected(hint))


def decoded(content: bytes, layout: type[Layout], kinds: Mapping[str, type], file: str) -> Layout:
    """What JSON text holds, which is laid out so.

    ``kinds`` say which kind of record stands in each member, be it one or a list. Raises
    :class:`Refusal` that says what is wrong and where.
    """
    try:
        return msgspec.json.decode(content, type=layout)
    except msgspec.ValidationError as error:
        raise _refusal(str(error), kinds, file) from error
    except (msgspec.DecodeError, RecursionError) as error:
        raise Refusal(
            "", "{file} cannot be read as JSON: {reason}.", file=file, reason=str(error)
        ) from error


def _refusal(said: str, kinds: Mapping[str, type], file: str) -> Refusal:
    found = _PATH.search(said)
    if found is None and not said.startswith("Object "):
        return Refusal(
            "", "{file} is not laid out as it should be: {reason}.", file=file, reason=said
        )
    fault = said[: found.start()] if found else said
    # "batches[3].count" is a member of the record batches[3]
    where, _, name = (found.group(1) if found else "").partition(".")
    member = where.partition("[")[0]
    name = name.partition("[")[0]
    if unknown := _UNKNOWN.match(fault):
        return Refusal(
            where,
            "{where}: no field is called “{name}”.",
            where=where or file,
            name=unknown[1][:40],
        )
    if missing := _MISSING.match(fault):
        return Refusal(
            where,
            "{where}: “{name}” is missing. Add it, or take this record out."
            if "[" in where
            else "{where}: “{name}” is missing.",
            where=where or file,
            name=missing[1],
        )
    if name:
        return Refusal(
            where,
            "{where}, “{name}”: must be {expected}.",
            where=where,
            name=name,
            expected=expected(hints_of(kinds[member])[name]),
        )
    if "[" in where or member == "season":
        return Refusal(where, "{where} must be an object.", where=where)
    if member in kinds:
        return Refusal(where, "“{shelf}” must be a list.", shelf=where)
    return Refusal(where, "{where}: {reason}.", where=where, reason=said)


_MOST_VALUES: Final = 3_000_000
"""Two hundred thousand records. Each value takes some sixty bytes, three of a file may make one."""


_UTF8_MARK: Final = b"\xef\xbb\xbf"


def content_of(path: Path, most_bytes: int) -> bytes:
    """The bytes of a JSON file of at most ``most_bytes``; raises :class:`Refusal` in words.

    Nothing is read that is no file, is too large, or would swell: values are counted before any
    is made.
    """
    try:
        content = read_file(path, most_bytes)
    except OSError as error:
        raise refused_by_system(path.name, error) from error
    # Every value but the first of a list or an object stands behind a comma; commas within texts
    # count too, which no season has so many of.
    if sum(content.count(sign) for sign in (b",", b"[", b"{")) > _MOST_VALUES:
        raise Refusal(
            "",
            "{file} holds more than {most} values, more than any season. It was not read.",
            file=path.name,
            most=_MOST_VALUES,
        )
    return content.removeprefix(_UTF8_MARK)


def load_json(path: Path, most_bytes: int) -> Any:
    """What a file of at most ``most_bytes`` holds; raises :class:`Refusal` in words."""
    content = content_of(path, most_bytes)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refusal("", "{file} is not written in UTF-8.", file=path.name) from error
    del content
    return _parsed(text, _once, path.name)


def require_members_once(content: bytes, file: str) -> None:
    """Raise :class:`Refusal` where an object has a member twice; nothing is kept of what is read.

    For what another reader takes, which lets the last of them count. Names of members are compared
    by their bytes: that is enough where no names but those of ASCII letters are known.
    """
    # As Latin-1, which has a letter for every byte, one letter of Greek makes the text no larger.
    _parsed(content.decode("latin-1"), _looked_at, file)


def _parsed(text: str, made_of: Callable[[list[tuple[str, Any]]], Any], file: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=made_of, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise Refusal(
            "", "{file} cannot be read as JSON: {reason}.", file=file, reason=str(error)
        ) from error


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError(tr("a member is there twice"))
    return found


def _looked_at(pairs: list[tuple[str, Any]]) -> None:
    _once(pairs)


def _no_constant(name: str) -> float:
    raise ValueError(tr("{name} is no number of JSON").format(name=name))
