"""In which words a value is refused: those that stand beside its limit, or what is asked for.

Limits, types and defaults are read off the type hints of a record class, for all who need them.
"""

import math
import re
import sys
from collections.abc import Mapping
from dataclasses import MISSING, fields
from datetime import date, datetime
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from msgspec import Meta

from ripenroom.records.refusal import Refusal
from ripenroom.texts import noted, noted_n, tr, tr_n
from ripenroom.units import temperature_in


def hints_of(kind: type) -> Mapping[str, Any]:
    """What each field of a kind of record declares."""
    return _hints_of(kind)


@cache
def _hints_of(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind, include_extras=True)


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


_WHERE = re.compile(r" - at `\$\.(\w+)((?:\[\d+\])?)`\Z")
"""Where msgspec's text says that the fault is: a field, perhaps a number in its list."""

_LONGEST_WHOLE = 10**18
_SHOWN = 60
"""Characters of a wrong value that a refusal repeats."""


def expected(hint: Any) -> str:
    """What a declaration asks for, in words: ``a whole number from 1 to 100``."""
    limit, kind = limit_of(hint), bare(hint)
    if get_origin(kind) is Literal:
        words = tr("one of {known}").format(known=", ".join(map(str, get_args(kind))))
    elif get_origin(kind) is tuple:
        each = expected(get_args(kind)[0])
        if Ellipsis not in get_args(kind):
            words = tr("a list of {size}, each {each}").format(size=len(get_args(kind)), each=each)
        elif limit and limit.max_length:
            most = limit.max_length
            words = tr("a list of at most {most:,}, each {each}").format(most=most, each=each)
        else:
            words = tr("a list, each {each}").format(each=each)
    elif kind is str and limit and "is" in (limit.extra or {}):
        words = tr(str((limit.extra or {})["is"]))
    elif kind is str:
        words = tr("a text")
        if limit and limit.max_length:
            words = tr("a text of at most {most:,} characters").format(most=limit.max_length)
    elif kind in (int, float):
        number = tr("a whole number") if kind is int else tr("a number")
        words = _within_limits(number, limit)
    else:
        words = tr(_WORDS[kind])
    return tr("{what}, or nothing").format(what=words) if is_optional(hint) else words


_WORDS: Mapping[Any, str] = {
    bool: noted("true or false"),
    datetime: noted("a moment with its time zone, such as 2026-09-14T08:30:00Z"),
    date: noted("a day, such as 2026-09-14"),
    bytes: noted("bytes"),
}


def _within_limits(number: str, limit: Meta | None) -> str:
    if limit is None:
        return number
    if limit.gt is not None and limit.lt is not None:
        text = tr("{number} above {low:g} and below {high:,.10g}")
        return text.format(number=number, low=limit.gt, high=limit.lt)
    text = tr("{number} from {low:,.10g} to {high:,.10g}")
    return text.format(number=number, low=limit.ge, high=limit.le)


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
        "unit": "",
    }
    beside = limit.extra or {}
    facts |= {name: tr(beside[name]) for name in ("figure", "unit") if beside.get(name)}
    if beside.get("unit") == "C":
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


def what_is(kind: type, count: int = 1) -> str:
    """What a grower calls a record of a kind, or so many of them."""
    if kind.__name__ not in _CALLED:  # such as what a form holds before there is a record
        return re.sub(r"(?<!^)([A-Z])", r" \1", kind.__name__).lower()
    return tr_n(*_CALLED[kind.__name__], count)


# By name: the classes of records are checked by what stands above.
_CALLED: Mapping[str, tuple[str, str]] = {
    "SeasonDetails": noted_n("season", "seasons"),
    "Cultivar": noted_n("cultivar", "cultivars"),
    "Row": noted_n("row", "rows"),
    "Place": noted_n("place", "places"),
    "SetPointChange": noted_n("thermostat change", "thermostat changes"),
    "Batch": noted_n("batch", "batches"),
    "Move": noted_n("move", "moves"),
    "Removal": noted_n("removal", "removals"),
    "MarketDay": noted_n("market day", "market days"),
    "Want": noted_n("want", "wants"),
    "Treatment": noted_n("treatment", "treatments"),
    "OwnCrop": noted_n("crop", "own crops"),
    "Brought": noted_n("fruit brought", "brought"),
    "Pin": noted_n("pin", "pins"),
    "ExpectedPick": noted_n("expected pick", "expected picks"),
    "SecondGrade": noted_n("price of second grade", "prices of second grade"),
    "Check": noted_n("check", "checks"),
    "TemperatureLog": noted_n("temperature log", "temperature logs"),
    "Lesson": noted_n("lesson", "lessons"),
    "Walk": noted_n("walk", "walks"),
    "DayWeather": noted_n("day of weather", "weather"),
    "MonthlyNormal": noted_n("month of usual weather", "months of usual weather"),
    "FrostDates": noted_n("frost dates", "frost dates"),
    "TreeLesson": noted_n("tree lesson", "tree lessons"),
}
