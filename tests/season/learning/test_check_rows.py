"""Checks in the order in which they are learned from; what came is put where it belongs."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.season.learning.check_rows import CheckRows, check_rows, in_both
from ripenroom.season.projector import Projector
from tests.season.farm import NOW, SLIGHT_GIVE
from tests.season.learning.checks import CROPS, MOSTLY_SOFT, ZONE, check, farm

PROJECTOR = Projector(CROPS, ZONE)
CHECKS = (
    check(1, 1, 3.0, SLIGHT_GIVE),
    check(2, 0, 4.0, MOSTLY_SOFT, counted=False),
    check(3, 2, 1.0, (0, 0, 0, 0, 0)),
    check(4, 2, -1.0, SLIGHT_GIVE),
    check(5, 1, 2.0, MOSTLY_SOFT),
)


def rows_of(book: Book, before: CheckRows | None = None) -> CheckRows:
    return check_rows(book, NOW, PROJECTOR.lines(book), PROJECTOR.constants, before)


def with_checks(book: Book, checks: Sequence[Check]) -> Book:
    return replace(book, checks={one.id: one for one in checks})


def test_those_that_count_come_first_and_then_by_time() -> None:
    rows = rows_of(farm(*CHECKS))
    assert [one.id for one in rows.looked_at.checks] == ["check 1", "check 5", "check 2"]
    assert rows.counted == 2
    assert rows.unlearnable == ("check 3", "check 4")
    assert rows.looked_at.feel_counts.tolist() == [
        list(SLIGHT_GIVE),
        list(MOSTLY_SOFT),
        list(MOSTLY_SOFT),
    ]


@pytest.mark.parametrize(
    "then",
    [
        (*CHECKS, check(6, 0, 2.5, SLIGHT_GIVE)),
        CHECKS[:4],
        CHECKS[1:],
        (CHECKS[0], check(2, 0, 0.5, SLIGHT_GIVE), *CHECKS[2:]),
        (*CHECKS[:3], check(7, 2, 2.2, MOSTLY_SOFT), check(8, 2, 2.2, MOSTLY_SOFT)),
        (),
    ],
)
def test_what_is_other_than_before_is_put_in_its_place(then: tuple[Check, ...]) -> None:
    book = farm()
    before = rows_of(with_checks(book, CHECKS))
    went_on, anew = (rows_of(with_checks(book, then), one) for one in (before, None))
    assert went_on.harvests is before.harvests
    assert went_on.unlearnable == anew.unlearnable
    assert went_on.counted == anew.counted
    for table, same in ((went_on.every, anew.every), (went_on.looked_at, anew.looked_at)):
        assert list(table.checks) == list(same.checks)
        for name in ("at_h", "line", "tells", "counted", "by_gauge", "picks_over", "feel_counts"):
            assert getattr(table, name).tolist() == getattr(same, name).tolist()


def test_records_that_were_there_are_found_again() -> None:
    here, there = in_both(np.array([5, 9, 7, 2]), np.array([7, 2, 8]))
    assert dict(zip(here.tolist(), there.tolist(), strict=True)) == {2: 0, 3: 1}
    assert in_both(np.array([1]), np.empty(0, np.intp))[0].size == 0
