"""JSON that is read into records as they are declared: nothing else is built, nothing is ignored.

The text is checked while it is read, so that what is wrong costs no more than the text before it:
a member that is unknown, missing, of another type or beyond its limit ends the reading.
"""

import re
from collections.abc import Mapping
from dataclasses import MISSING, fields
from functools import cache
from typing import Any, TypeVar, get_args

import msgspec

from ripenroom.records.checking import in_whole_seconds, record_from
from ripenroom.records.declared import bare, hints_of, limit_of
from ripenroom.records.refusal import Refusal
from ripenroom.records.wording import expected

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
