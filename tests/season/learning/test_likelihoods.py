"""From checks as written down to likelihoods."""

import numpy as np
import pytest

from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.check_rows import check_rows
from ripenroom.season.learning.likelihoods import Kinds, NodeCache, first_of, likelihoods_of
from ripenroom.season.projector import Projector
from tests.season.farm import NOW, SLIGHT_GIVE
from tests.season.learning.checks import CROPS, MOSTLY_SOFT, ZONE, check, farm

BOOK = farm(
    check(1, 1, 3.0, SLIGHT_GIVE),
    check(2, 1, 2.0, None, readings=(1.0, 1.2), reading_unit="kgf"),  # type: ignore[arg-type]
    check(3, 1, 1.0, MOSTLY_SOFT),
)


def of_checks(before: NodeCache | None = None) -> tuple[Kinds, NodeCache]:
    projector = Projector(CROPS, ZONE)
    lines, travel = projector.travel(BOOK, NOW)
    table = check_rows(BOOK, NOW, lines, projector.constants).looked_at
    crop = np.zeros(len(table.checks), dtype=np.intp)
    crops = [projector.constants[CropKind("pawpaw")]]
    none = np.zeros(len(table.checks))
    return likelihoods_of(table, crops, crop, travel.batches.of(table.line), none, before)


def test_each_kind_has_its_own_checks() -> None:
    (by_hand, felt), (by_gauge, read) = of_checks()[0]
    assert isinstance(by_hand, FeltChecks)
    assert isinstance(by_gauge, ReadChecks)
    assert (felt.tolist(), read.tolist()) == ([0, 2], [1])
    assert by_hand.counts.tolist() == [list(SLIGHT_GIVE), list(MOSTLY_SOFT)]
    assert by_gauge.mean_n[0] == pytest.approx(1.1 * 9.80665)


def test_the_first_are_those_that_come_first() -> None:
    kinds = of_checks()[0]
    assert [numbers.tolist() for _, numbers in first_of(kinds, 2)] == [[0], [1]]
    assert first_of(kinds, 0) == ()


def test_nodes_of_a_check_that_stays_are_kept() -> None:
    laid = of_checks()[1]
    laid.nodes.low[0] = -99.0
    ((again, _), _), _ = of_checks(laid)
    assert isinstance(again, FeltChecks)
    assert again.nodes.low[0] == -99.0
