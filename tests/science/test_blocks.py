"""Work in blocks gives what work in one go gives."""

import threading
from dataclasses import dataclass

import numpy as np
import pytest

from ripenroom.science.blocks import BLOCK_LINES, in_blocks, joined


@dataclass(frozen=True)
class Pair:
    left: np.ndarray
    right: tuple[np.ndarray, np.ndarray]


@pytest.mark.parametrize("lines", [0, 1, BLOCK_LINES, 2 * BLOCK_LINES, 5 * BLOCK_LINES + 17])
def test_the_slices_cover_every_line_once_and_in_order(lines: int) -> None:
    numbers = np.arange(lines)
    whole = joined(in_blocks(lines, lambda part: numbers[part]))
    assert np.array_equal(whole, numbers)


def test_parts_of_every_shape_are_joined() -> None:
    numbers = np.arange(6 * BLOCK_LINES, dtype=float)

    def job(part: slice) -> Pair:
        own = numbers[part]
        return Pair(own, (own * 2.0, own[:, None] * np.ones(3)))

    whole = joined(in_blocks(numbers.size, job))
    assert np.array_equal(whole.left, numbers)
    assert np.array_equal(whole.right[0], numbers * 2.0)
    assert whole.right[1].shape == (numbers.size, 3)


def test_few_lines_stay_in_the_calling_thread() -> None:
    assert in_blocks(BLOCK_LINES, lambda _: threading.current_thread()) == [
        threading.current_thread()
    ]


def test_a_fault_in_a_block_is_not_lost() -> None:
    def job(part: slice) -> int:
        raise ValueError(part.start)

    with pytest.raises(ValueError, match="0"):
        in_blocks(5 * BLOCK_LINES, job)


def test_what_cannot_be_joined_is_said() -> None:
    with pytest.raises(TypeError, match="str cannot be joined"):
        joined(["a", "b"])
