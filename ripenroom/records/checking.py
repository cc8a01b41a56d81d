"""Whether a record can be: one checker for every way in, by what its fields declare.

msgspec checks types and limits, in C; what several fields say together is checked by the rules of
:mod:`ripenroom.records.rules`. A record that is refused is refused at the first field that is
wrong, in the words that stand beside the field's limit (see :mod:`ripenroom.records.limits`).
"""

import math
import re
from collections.abc import Mapping
from dataclasses import MISSING, fields
from datetime import UTC, date, datetime
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Meta, ValidationError

from ripenroom.records.refusal import Refusal
from ripenroom.records.rules import RULES_OF
from ripenroom.units import temperature_in

Kind = TypeVar("Kind")

_KEPT_AS_THEY_ARE = (bytes, datetime)
_WHERE = re.compile(r" - at `\$\.(\w+)((?:\[\d+\])?)`\Z")
_LONGEST_WHOLE = 10**18
_SHOWN = 60
"""Characters of a wrong value that a refusal repeats."""


def checked(record: Kind) -> Kind:
    """The record in its usual form: figures as floats, moments in whole seconds of UTC.

    Raises :class:`Refusal` at the first field that cannot be.
    """
    return record_from(type(record), plain(record))


def record_from(kind: type[Kind], values: Mapping[str, Any]) -> Kind:
    """The record that has these values, with texts for days and sequences for tuples.

    Raises :class:`Refusal` at the first field that cannot be, or that is missing.
    """
    try:
        record = msgspec.convert(values, kind)
    except ValidationError as error:
        raise _refusal(kind, values, str(error)) from error
    for rule in RULES_OF.get(kind, ()):
        rule(record)
    return record


def plain(record: object) -> dict[str, Any]:
    """The fields of a record: moments in whole seconds of UTC, bytes as they are, days as text."""
    kind: type = type(record)
    try:
        values: dict[str, Any] = msgspec.to_builtins(record, builtin_types=_KEPT_AS_THEY_ARE)
        for name in _moments_of(kind):
            at = values[name]
            # What a person writes down has no finer grain than a second.
            if isinstance(at, datetime) and at.tzinfo is not None:
                values[name] = at.astimezone(UTC).replace(microsecond=0)
    except OverflowError as error:  # the year 1 or 9999, seen from the other side of the world
        raise Refusal(name, "{value} is no day of any season.", value=f"{at:%Y-%m-%d}") from error
    return values


def hints_of(kind: type) -> Mapping[str, Any]:
    """What each field of a kind of record declares."""
    return _hints_of(kind)


@cache
def _hints_of(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind, include_extras=True)


@cache
def _moments_of(kind: type) -> tuple[str, ...]:
    """The fields of a kind of record that hold a moment."""
    return tuple(name for name, hint in hints_of(kind).items() if bare(hint) is datetime)


def bare(hint: Any) -> Any:
    """The type that a declaration comes down to, without limits and without None."""
    if get_origin(hint) is Annotated:
        return bare(get_args(hint)[0])
    if is_optional(hint):
        [inner] = (part for part in get_args(hint) if part is not NoneType)
        return bare(inner)
    return hint


def is_optional(hint: Any) -> bool:
    """Whether None may stand in a field."""
    return get_origin(hint) in (Union, UnionType) and NoneType in get_args(hint)


def needed(kind: Any) -> frozenset[str]:
    """The fields of a kind of record that have no default."""
    return frozenset(
        f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING
    )


def limit_of(hint: Any) -> Meta | None:
    """The limit that a declaration sets, if any."""
    if is_optional(hint):
        return next((limit for part in get_args(hint) if (limit := limit_of(part))), None)
    if get_origin(hint) is Annotated:
        return next((m for m in get_args(hint)[1:] if isinstance(m, Meta)), None)
    return None


def expected(hint: Any) -> str:
    """What a declaration asks for, in words: ``a whole number from 1 to 100``."""
    limit, kind = limit_of(hint), bare(hint)
    if get_origin(kind) is Literal:
        words = f"one of {', '.join(map(str, get_args(kind)))}"
    elif get_origin(kind) is tuple:
        most = f" of at most {limit.max_length:,}" if limit and limit.max_length else ""
        size = f" of {len(get_args(kind))}" if Ellipsis not in get_args(kind) else most
        words = f"a list{size}, each {expected(get_args(kind)[0])}"
    elif kind is str:
        long = f" of at most {limit.max_length:,} characters" if limit and limit.max_length else ""
        words = f"a text{long}"
    elif kind in (int, float):
        words = f"a {'whole ' if kind is int else ''}number{_span(limit)}"
    else:
        words = _WORDS[kind]
    return f"{words}, or nothing" if is_optional(hint) else words


_WORDS: Mapping[Any, str] = {
    bool: "true or false",
    datetime: "a moment with its time zone, such as 2026-09-14T08:30:00Z",
    date: "a day, such as 2026-09-14",
    bytes: "bytes",
}


def _span(limit: Meta | None) -> str:
    if limit is None:
        return ""
    if limit.gt is not None and limit.lt is not None:
        return f" above {limit.gt:g} and below {limit.lt:,.10g}"
    return f" from {limit.ge:,.10g} to {limit.le:,.10g}"


def _refusal(kind: type, values: Mapping[str, Any], said: str) -> Refusal:
    """The refusal of what msgspec said of the values."""
    found = _WHERE.search(said)
    if found is None:  # of the record as a whole: a field is missing
        absent = sorted(needed(kind) - values.keys())
        return Refusal(absent[0] if absent else "", "{reason}.", reason=said)
    field, number = found.group(1), found.group(2)
    hint, value = hints_of(kind)[field], values[field]
    limit = limit_of(hint)
    if number:
        hint = get_args(bare(hint))[0]
        limit, value = limit_of(hint), value[int(number[1:-1])]
    words = _words(limit, hint, value)
    if words is None:
        return Refusal(
            field,
            "“{name}” is {value}, but must be {expected}.",
            name=field,
            value=f"{value!r:.{_SHOWN}}",
            expected=expected(hint),
        )
    return Refusal(field, words, **_facts(kind, limit, value))


def _words(limit: Meta | None, hint: Any, value: object) -> str | None:
    """The words for a value of the right type that is beyond its limit."""
    known = (limit.extra if limit else None) or {}
    if isinstance(value, str) and bare(hint) is str:
        if not value.strip() and "empty" in known:
            return str(known["empty"])
        most = limit.max_length if limit else None
        if most is not None and len(value) > most:
            return str(known["long"]) if "long" in known else None
    kind = bare(hint)
    fits = (int, float) if kind is float else get_origin(kind) or kind
    if get_origin(kind) is Literal or not isinstance(value, fits | list if fits is tuple else fits):
        return None
    return str(known["says"]) if "says" in known else None


def _facts(kind: type, limit: Meta | None, value: Any) -> dict[str, object]:
    assert limit is not None
    facts: dict[str, object] = {
        "value": _number(value) if isinstance(value, int | float) else f"{value!s:.{_SHOWN}}",
        "size": len(value) if isinstance(value, str | list | tuple) else 0,
        "low": limit.ge,
        "high": limit.le,
        "most": limit.max_length,
        "what": what_is(kind),
    }
    if (limit.extra or {}).get("unit") == "C":
        for name in ("value", "low", "high"):
            facts[f"{name}_f"] = temperature_in(float(facts[name]), "F")  # type: ignore[arg-type]
    return facts


def _number(value: float) -> float:
    """The number, fit to be written as a figure: JSON may hold a whole one of any length."""
    if isinstance(value, int) and abs(value) > _LONGEST_WHOLE:
        return math.inf if value > 0 else -math.inf
    return value


def what_is(kind: type) -> str:
    """What a grower calls a kind of record."""
    words = re.sub(r"(?<!^)([A-Z])", r" \1", kind.__name__).lower()
    return _CALLED.get(words, words)


_CALLED = {"set point change": "set point", "own crop": "crop", "brought": "fruit brought"}
