"""Which names of a list a typed text finds, the best first; knows no Qt."""

import re
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from ripenroom.window.widgets.typed_day import folded

_WORD = re.compile(r"\w+")


def matches(
    typed: str,
    names: Sequence[str],
    first: int = 0,
    others: Mapping[int, Sequence[str]] = MappingProxyType({}),
) -> list[int]:
    """Places in ``names`` that every typed word begins a word of; ``others`` has other names that
    the thing of a place is found by.

    A name that is typed in full, or a part of it between dots in the middle, comes first; then
    the ``first`` names of the list before the others; among these, names that begin as typed
    before those that have it later on. Capitals and accents do not count.
    """
    query = folded(typed)
    words = _WORD.findall(query)
    if not words:
        return list(range(len(names)))
    found: list[tuple[tuple[bool, bool, bool, int], int]] = []
    for place, name in enumerate(names):
        orders = []
        for known in map(folded, (name, *others.get(place, ()))):
            have = _WORD.findall(known)
            if all(any(one.startswith(word) for one in have) for word in words):
                whole, begins = query in _whole(known), _begins(known, query)
                orders.append((not whole, place >= first, not begins, place))
        if orders:
            found.append((min(orders), place))
    return [place for _, place in sorted(found)]


def is_name(typed: str, name: str) -> bool:
    """Whether a name, or a part of it between dots in the middle, is typed in full."""
    return folded(typed) in _whole(folded(name))


def named_in(typed: str, names: Mapping[str, Iterable[str]]) -> tuple[str | None, str]:
    """The key of the thing one of whose names is one of several typed words; the other words."""
    words = typed.split()
    for key, of_it in names.items():
        for word in words:
            if len(words) > 1 and any(is_name(word, name) for name in of_it):
                return key, " ".join(one for one in words if one != word)
    return None, typed


def _whole(name: str) -> set[str]:
    return {name, *(part.strip() for part in name.split("·")[1:])}


def _begins(name: str, query: str) -> bool:
    return any(part.strip().startswith(query) for part in name.split("·"))
