"""Sums over runs of lines are those of a loop; the packages around the kernel can come later."""

import subprocess
import sys
from itertools import pairwise

import numpy as np
import pytest

from ripenroom.science.compiled import compiled
from ripenroom.science.sums import sums_of_runs


@pytest.mark.parametrize("seed", range(4))
def test_runs_are_summed_by_weight(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ends = np.append(0, np.cumsum(rng.integers(0, 4, 30)))
    weight, values = rng.random(ends[-1]), rng.random((int(ends[-1]), 7))
    told = [
        sum((weight[n] * values[n] for n in range(first, last)), np.zeros(7))
        for first, last in pairwise(ends.tolist())
    ]
    np.testing.assert_allclose(sums_of_runs(weight, ends, values), told)
    across = np.asfortranarray(values)
    np.testing.assert_array_equal(
        sums_of_runs(weight, ends, across), sums_of_runs(weight, ends, values)
    )


def test_without_lines_there_is_nothing() -> None:
    assert not sums_of_runs(np.empty(0), np.zeros(3, np.intp), np.empty((0, 2))).any()


def test_packages_are_not_imported_and_are_whole_once_they_are() -> None:
    program = """
import sys
from itertools import pairwise
from ripenroom.science.compiled import compiled
solver = compiled("scipy.optimize._highspy._core")
compiled("scipy.sparse._sparsetools")
assert not {"scipy.sparse", "scipy.optimize"} & set(sys.modules)
from scipy.optimize import linprog
from scipy.sparse import csr_array
import scipy.optimize._highspy._core as again
assert again is solver is compiled("scipy.optimize._highspy._core")
assert linprog([-1.0, -1.0], A_ub=[[1.0, 2.0]], b_ub=[3.0], method="highs").fun == -3.0
assert (csr_array([[0.0, 2.0]]) @ [1.0, 1.0]).tolist() == [2.0]
"""
    subprocess.run([sys.executable, "-c", program], check=True, timeout=120)


def test_a_module_that_is_not_there_is_not_found() -> None:
    with pytest.raises(ImportError, match="_nowhere"):
        compiled("scipy.sparse._nowhere")
