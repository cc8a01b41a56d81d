"""Which names of a list a typed text finds, the best first; knows no Qt."""

import re
from collections.abc import Sequence

from ripenroom.window.widgets.typed_day import folded

_WORD = re.compile(r"\w+")


def matches(typed: str, names: Sequence[str], first: int = 0) -> list[int]:
    """Places in ``names`` that every typed word begins a word of.

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
        known = folded(name)
        have = _WORD.findall(known)
        if all(any(one.startswith(word) for one in have) for word in words):
            order = (query not in _whole(known), place >= first, not _begins(known, query), place)
            found.append((order, place))
    return [place for _, place in sorted(found)]


def is_name(typed: str, name: str) -> bool:
    """Whether a name, or a part of it between dots in the middle, is typed in full."""
    return folded(typed) in _whole(folded(name))


def _whole(name: str) -> set[str]:
    return {name, *(part.strip() for part in name.split("·")[1:])}


def _begins(name: str, query: str) -> bool:
    return any(part.strip().startswith(query) for part in name.split("·"))
