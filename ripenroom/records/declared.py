"""Reads the type hints of a record class: type, limits and default of each field."""

from collections.abc import Mapping
from dataclasses import MISSING, fields
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from msgspec import Meta


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
