"""Findings made when they are asked for."""

import pytest

from ripenroom.season.learning.report import LazyByBatch


def test_it_is_a_mapping_whose_values_are_made_when_asked_for() -> None:
    made: list[int] = []

    def make(line: int) -> str:
        made.append(line)
        return f"line {line}"

    found = LazyByBatch(["a", "b"], make)
    assert (len(found), list(found), "b" in found, "c" in found) == (2, ["a", "b"], True, False)
    assert made == []
    assert found["b"] == "line 1"
    assert made == [1]
    with pytest.raises(KeyError):
        found["c"]
