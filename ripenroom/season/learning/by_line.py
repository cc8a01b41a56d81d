"""Findings that are kept as columns and made into objects when they are asked for."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Generic, TypeVar

_T = TypeVar("_T")


class LazyByBatch(Mapping[str, _T], Generic[_T]):
    """A mapping from ids to what ``make`` makes of their line."""

    def __init__(self, ids: Sequence[str], make: Callable[[int], _T]) -> None:
        self._line_of = {key: line for line, key in enumerate(ids)}
        self._make = make

    def __getitem__(self, key: str) -> _T:
        return self._make(self._line_of[key])

    def __contains__(self, key: object) -> bool:
        return key in self._line_of

    def __iter__(self) -> Iterator[str]:
        return iter(self._line_of)

    def __len__(self) -> int:
        return len(self._line_of)
