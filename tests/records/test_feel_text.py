"""Hand-feel counts typed in one line."""

import pytest

from ripenroom.records.entry import parse_feel_counts
from ripenroom.records.refusal import Refusal


@pytest.mark.parametrize(
    ("typed", "counts"),
    [
        ("3 9 6 2", (3, 9, 6, 2, 0)),
        ("3 9 6 2 1", (3, 9, 6, 2, 1)),
        (" 0,9;6/2 ", (0, 9, 6, 2, 0)),
        ("", None),
        ("0 0 0 0", None),
    ],
)
def test_what_is_typed_is_read(typed: str, counts: tuple[int, ...] | None) -> None:
    assert parse_feel_counts(typed) == counts


@pytest.mark.parametrize(
    "typed", ["40", "1 2 3", "1 2 3 4 5 6", "3 9 six 2", "-3 9 6 2", "1.5 2 3 4"]
)
def test_anything_else_is_refused_with_what_to_do(typed: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse_feel_counts(typed)
    assert refused.value.field == "feel_counts"
