"""Any answer as one row of numbers and one of texts, whatever its classes and fields are called."""

import struct
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from enum import Enum
from typing import NamedTuple

import numpy as np

_SKIPPED = frozenset({"kept"})
"""What is carried along to be faster next time is no answer."""


class Flat(NamedTuple):
    """The ``numbers`` of an answer in the order of its fields, and everything else as ``texts``."""

    numbers: np.ndarray
    texts: tuple[str, ...]


class Compared(NamedTuple):
    """How many numbers and texts were held to each other, and how many of them differ."""

    numbers: int
    texts: int
    different_numbers: int
    different_texts: int


def flat(answer: object) -> Flat:
    """All of an answer. Raises ``TypeError`` for what is neither number, text, record nor column,
    so that nothing is left out unseen."""
    numbers: list[float] = []
    texts: list[str] = []
    for leaf in _leaves(answer):
        if isinstance(leaf, str):
            texts.append(leaf)
        else:
            numbers.append(leaf)
    return Flat(np.array(numbers, dtype=np.float64), tuple(texts))


def compared(one: Flat, other: Flat) -> Compared:
    """Held to each other bit by bit: nan is nan, and 0 is not -0. What only one has differs."""
    return Compared(
        max(one.numbers.size, other.numbers.size),
        max(len(one.texts), len(other.texts)),
        _different([struct.pack("d", x) for x in one.numbers.tolist()],
                   [struct.pack("d", x) for x in other.numbers.tolist()]),
        _different(one.texts, other.texts),
    )  # fmt: skip


def _different(one: Sequence[object], other: Sequence[object]) -> int:
    same = sum(a == b for a, b in zip(one, other, strict=False))
    return max(len(one), len(other)) - same


def _leaves(answer: object) -> Iterator[float | str]:
    if answer is None:
        yield "None"
    elif isinstance(answer, Enum):
        yield str(answer.value)
    elif isinstance(answer, str):
        yield answer
    elif isinstance(answer, bool | int | float | np.generic):
        yield float(answer)
    elif isinstance(answer, datetime | date | time):
        yield answer.isoformat()
    elif isinstance(answer, np.ndarray):
        yield f"shape {answer.shape}"
        yield from map(float, answer.ravel().tolist())
    elif isinstance(answer, Mapping):
        pairs = sorted((" ".join(map(str, _leaves(key))), value) for key, value in answer.items())
        for name, value in pairs:
            yield name
            yield from _leaves(value)
    elif isinstance(answer, Sequence):
        yield f"length {len(answer)}"
        for one in answer:
            yield from _leaves(one)
    elif isinstance(answer, Set):
        yield from sorted(map(str, answer))
    elif is_dataclass(answer):
        for field in fields(answer):
            if field.name not in _SKIPPED:
                yield from _leaves(getattr(answer, field.name))
    else:
        raise TypeError(f"No number and no text: {type(answer)}")
