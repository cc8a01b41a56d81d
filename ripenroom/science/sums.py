"""Weighted sums over lines that lie in runs end to end, such as the feels of each check.

It is what a sparse table times another one is, and is done by the kernel beneath ``scipy.sparse``:
``numpy.add.reduceat`` takes thirteen times as long.
"""

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import compiled
from ripenroom.science.softening import Floats


def sums_of_runs(weight: Floats, ends: Indices, values: Floats) -> Floats:
    """``values`` (lines, n) times ``weight`` (lines,) summed over each run of lines, (runs, n); the
    runs go from one of the ``ends`` (runs + 1,) up to the next."""
    lines, columns = values.shape
    found = np.zeros((ends.size - 1, columns))
    own = np.ascontiguousarray(values, dtype=float).ravel()
    table = ends.astype(np.intp), np.arange(lines), weight.astype(float)
    compiled("scipy.sparse._sparsetools").csr_matvecs(
        found.shape[0], lines, columns, *table, own, found.ravel()
    )
    return found
