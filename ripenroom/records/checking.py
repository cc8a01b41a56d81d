"""Whether a record can be: one checker for every way in, by what its fields declare.

msgspec checks types and limits, in C; what several fields say together is checked by the rules of
:mod:`ripenroom.records.rules`. A record that is refused is refused at the first field that is
wrong, in the words that stand beside the field's limit (see :mod:`ripenroom.records.limits`).
"""

from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache
from typing import Any, TypeVar

import msgspec

from ripenroom.records.declared import bare, hints_of
from ripenroom.records.refusal import Refusal
from ripenroom.records.rules import RULES_OF
from ripenroom.records.wording import refusal_of

Kind = TypeVar("Kind")

_KEPT_AS_THEY_ARE = (bytes, datetime)


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
    except msgspec.ValidationError as error:
        raise refusal_of(kind, values, str(error)) from error
    for rule in RULES_OF.get(kind, ()):
        rule(record)
    return record


def plain(record: object) -> dict[str, Any]:
    """The fields of a record: moments in whole seconds of UTC, bytes as they are, days as text."""
    values = msgspec.to_builtins(record, builtin_types=_KEPT_AS_THEY_ARE)
    return in_whole_seconds(type(record), values)


def in_whole_seconds(kind: type, values: dict[str, Any]) -> dict[str, Any]:
    """The values with their moments in UTC: what a person writes down has no finer grain.

    Raises :class:`Refusal` for a moment that is beyond all calendars there.
    """
    for name in _moments_of(kind):
        at = values[name]
        if isinstance(at, datetime) and at.tzinfo is not None:
            try:
                values[name] = at.astimezone(UTC).replace(microsecond=0)
            except OverflowError as error:  # the year 1 or 9999, from another side of the world
                raise Refusal(
                    name, "{value} is no day of any season.", value=f"{at:%Y-%m-%d}"
                ) from error
    return values


@cache
def _moments_of(kind: type) -> tuple[str, ...]:
    """The fields of a kind of record that hold a moment."""
    return tuple(name for name, hint in hints_of(kind).items() if bare(hint) is datetime)
