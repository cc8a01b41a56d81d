"""Work on very many batches in blocks, on all processors.

Batches do not depend on one another, and numpy and scipy let go of the interpreter's lock, so
blocks of them run at the same time in threads. Few batches are taken in one go: a thread costs more
than it gains there.
"""

import os
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar, cast

import numpy as np

if TYPE_CHECKING:
    from concurrent.futures import ThreadPoolExecutor

_T = TypeVar("_T")

BLOCK_LINES = 2_500
"""Batches in a block at least; below twice as many, all are one block."""


@cache
def _threads() -> "ThreadPoolExecutor":
    # Imported when there is need of it: few seasons are so large, and it brings logging along.
    from concurrent.futures import ThreadPoolExecutor

    return ThreadPoolExecutor(os.cpu_count() or 1, thread_name_prefix="blocks")


def in_blocks(lines: int, job: Callable[[slice], _T]) -> list[_T]:
    """``job`` for slices that together cover ``lines`` batches, in order."""
    number = min(lines // BLOCK_LINES, os.cpu_count() or 1)
    if number < 2:
        return [job(slice(0, lines))]
    edges = [lines * n // number for n in range(number + 1)]
    slices = [slice(first, last) for first, last in pairwise(edges)]
    return list(_threads().map(job, slices))


def joined(parts: Sequence[_T]) -> _T:
    """One answer from those of the blocks: arrays end to end, tuples and dataclasses by part."""
    first = parts[0]
    if len(parts) == 1:
        return first
    if isinstance(first, np.ndarray):
        return cast(_T, np.concatenate(cast("Sequence[np.ndarray]", parts)))
    if isinstance(first, tuple):
        return cast(_T, tuple(joined(column) for column in zip(*parts, strict=True)))
    if is_dataclass(first) and not isinstance(first, type):
        columns = {f.name: joined([getattr(part, f.name) for part in parts]) for f in fields(first)}
        return cast(_T, type(first)(**columns))
    raise TypeError(f"blocks of {type(first).__name__} cannot be joined")
