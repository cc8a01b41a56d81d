"""Functions are those of scipy, whose packages come with none of the program's parts.

Sums over runs of lines are those of a loop.
"""

import subprocess
import sys
from itertools import pairwise

import numpy as np
import pytest
from scipy import special as package

from ripenroom.science import compiled as functions
from ripenroom.science.compiled import compiled, sums_of_runs


def test_the_functions_are_scipys() -> None:
    for name in functions.__all__:
        assert getattr(functions, name) is getattr(package, name)


def test_the_package_is_not_imported_and_is_whole_once_it_is() -> None:
    program = """
import sys
import ripenroom.season.season
assert not {"scipy.special", "scipy.linalg", "scipy.stats", "pandas"} & set(sys.modules)
from ripenroom.science import compiled
import scipy.special, scipy.stats
assert scipy.special.ndtr is compiled.ndtr and scipy.special.gamma(4.0) == 6.0
"""
    subprocess.run([sys.executable, "-c", program], check=True, timeout=120)


def test_where_scipy_keeps_them_elsewhere_the_package_is_taken() -> None:
    program = """
import sys
sys.modules["scipy.special._ufuncs"] = None  # an import of it fails
from ripenroom.science import compiled
"""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=120
    )
    # scipy's own package needs that module too: it is asked for, and says so.
    assert "scipy/special/__init__.py" in done.stderr.replace("\\", "/")


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
