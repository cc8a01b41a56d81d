"""In which words a value is refused: those that stand beside its limit, or what is asked for."""

import math
import re
import sys
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Literal, get_args, get_origin

from msgspec import Meta

from ripenroom.records.declared import bare, hints_of, is_optional, limit_of, needed
from ripenroom.records.refusal import Refusal
from ripenroom.units import temperature_in

_WHERE = re.compile(r" - at `\$\.(\w+)((?:\[\d+\])?)`\Z")
"""Where msgspec's text says that the fault is: a field, perhaps a number in its list."""

_LONGEST_WHOLE = 10**18
_SHOWN = 60
"""Characters of a wrong value that a refusal repeats."""


def expected(hint: Any) -> str:
    """What a declaration asks for, in words: ``a whole number from 1 to 100``."""
    limit, kind = limit_of(hint), bare(hint)
    if get_origin(kind) is Literal:
        words = f"one of {', '.join(map(str, get_args(kind)))}"
    elif get_origin(kind) is tuple:
        most = f" of at most {limit.max_length:,}" if limit and limit.max_length else ""
        size = f" of {len(get_args(kind))}" if Ellipsis not in get_args(kind) else most
        words = f"a list{size}, each {expected(get_args(kind)[0])}"
    elif kind is str and limit and "is" in (limit.extra or {}):
        words = str((limit.extra or {})["is"])
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


def refusal_of(kind: type, values: Mapping[str, Any], said: str) -> Refusal:
    """The refusal that tells what msgspec ``said`` of the values of a kind of record."""
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
            facts[f"{name}_f"] = _fahrenheit(float(facts[name]))  # type: ignore[arg-type]
    return facts


def _number(value: float) -> float:
    """The number, fit to be written as a figure: JSON may hold a whole one of any length."""
    if isinstance(value, int) and abs(value) > _LONGEST_WHOLE:
        return math.inf if value > 0 else -math.inf
    return value


def _fahrenheit(celsius: float) -> float:
    """A temperature in degrees Fahrenheit; the largest number there is where it would be beyond."""
    fahrenheit = temperature_in(celsius, "F")
    if math.isinf(fahrenheit) and math.isfinite(celsius):
        return math.copysign(sys.float_info.max, fahrenheit)
    return fahrenheit


def counted(count: int, plural: str) -> str:
    """A number of things whose usual plural ends in s: "1 pick", "2 second grades"."""
    return f"{count} {plural.removesuffix('s') if count == 1 else plural}"


def fruit_noun(crop: str, count: float = 2.0) -> str:
    """What so many fruit of a crop are called within a sentence: "pawpaw", "Anjou pears"."""
    if not crop.strip():
        return crop
    # "Persimmon, astringent" and "Persimmon (non-astringent)": what is added stays as it is.
    head = re.split(r"\s*[,(]", crop, maxsplit=1)[0] or crop
    added = crop[len(head) :]
    nouns = head.split(" and ")
    nouns = [_within(noun) if round(count) == 1 else _plural(_within(noun)) for noun in nouns]
    return (" or " if round(count) == 1 else " and ").join(nouns) + added


def _within(noun: str) -> str:
    """A name as it stands within a sentence: of several words the first is somebody's."""
    return noun if " " in noun else noun[:1].lower() + noun[1:]


def _plural(noun: str) -> str:
    if noun.endswith(("fruit", "fruits")):
        return noun
    if re.search(r"[^aeiou]y$", noun):
        return f"{noun[:-1]}ies"
    return f"{noun}es" if re.search(r"(s|x|z|ch|sh|tomato|potato|mango)$", noun) else f"{noun}s"


def with_article(what: str) -> str:
    """A thing with its article: "an expected pick"."""
    return f"{'an' if what[0] in 'aeiou' else 'a'} {what}"


def what_is(kind: type) -> str:
    """What a grower calls a kind of record."""
    words = re.sub(r"(?<!^)([A-Z])", r" \1", kind.__name__).lower()
    return _CALLED.get(words, words)


_CALLED = {
    "set point change": "set point",
    "own crop": "crop",
    "brought": "fruit brought",
    "season details": "season",
    "day weather": "day of weather",
    "monthly normal": "month of usual weather",
}
