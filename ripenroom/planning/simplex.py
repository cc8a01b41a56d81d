"""A linear programme that takes up its columns in turn, solved by HiGHS in counted steps.

What scipy offers openly takes all columns at once, starts from nothing at each call, and gives no
answer at all where a count is reached. The solver beneath it, which comes with scipy, goes on from
where it was, and by the primal simplex method every answer on the way can be followed. Its name is
scipy's own affair: it stands here and nowhere else.
"""

from typing import TYPE_CHECKING

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import compiled
from ripenroom.science.softening import Floats

if TYPE_CHECKING:
    from scipy.sparse import csc_array

_PRIMAL = 4
"""HiGHS's number of the primal simplex method: it stays feasible when columns are added."""

_FEASIBLE = 1e-6
"""Limits are held to by so much; HiGHS itself works with a tenth of that."""


class Simplex:
    """``maximise gain @ y`` where ``low <= table @ y <= high`` and ``lowest <= y <= highest``.

    Unknowns that were not taken up are 0. The same calls give the same answers always.
    """

    def __init__(
        self,
        table: "csc_array",
        low: Floats,
        high: Floats,
        gain: Floats,
        lowest: Floats,
        highest: Floats,
        columns: Indices,
    ) -> None:
        _core = compiled("scipy.optimize._highspy._core")
        self._table, self._gain = table, gain
        self._lowest, self._highest = lowest, highest
        self.columns = columns
        self.steps = 0
        own = table[:, columns]
        model = _core.HighsLp()
        model.num_col_ = model.a_matrix_.num_col_ = columns.size
        model.num_row_ = model.a_matrix_.num_row_ = low.size
        model.col_cost_ = -gain[columns]
        model.col_lower_, model.col_upper_ = lowest[columns], highest[columns]
        model.row_lower_, model.row_upper_ = low, high
        model.a_matrix_.format_ = _core.MatrixFormat.kColwise
        model.a_matrix_.start_ = own.indptr
        model.a_matrix_.index_ = own.indices
        model.a_matrix_.value_ = own.data
        self._highs = _core._Highs()
        self._optimal = _core.HighsModelStatus.kOptimal
        for option, choice in (
            ("output_flag", False),
            ("presolve", "off"),
            ("solver", "simplex"),
            ("simplex_strategy", _PRIMAL),
            ("parallel", "off"),
        ):
            self._highs.setOptionValue(option, choice)
        self._highs.passModel(model)

    def take_up(self, columns: Indices) -> None:
        """Add columns of the table that were not taken up before."""
        own = self._table[:, columns]
        self._highs.addCols(
            columns.size,
            -self._gain[columns],
            self._lowest[columns],
            self._highest[columns],
            own.nnz,
            own.indptr[:-1].astype(np.int32),
            own.indices.astype(np.int32),
            own.data,
        )
        self.columns = np.concatenate([self.columns, columns])

    def run(self, steps: int) -> bool:
        """Go on for so many steps at most, which ``steps`` counts; whether the best was found."""
        self._highs.setOptionValue("simplex_iteration_limit", steps)
        self._highs.run()
        self.steps += int(self._highs.getInfo().simplex_iteration_count)
        return bool(self._highs.getModelStatus() == self._optimal)

    @property
    def feasible(self) -> bool:
        """Whether the answer so far holds to all limits."""
        info = self._highs.getInfo()
        # Below 0 stands for not known.
        return bool(
            info.num_primal_infeasibilities >= 0
            and 0.0 <= info.max_primal_infeasibility <= _FEASIBLE
            and self._highs.getSolution().value_valid
        )

    def unknowns(self) -> Floats:
        """All unknowns as they are in the answer so far."""
        found = np.zeros(self._gain.size)
        found[self.columns] = self._highs.getSolution().col_value
        return found

    def prices(self) -> Floats:
        """What a little more of each row's limit would gain, by the answer so far."""
        solution = self._highs.getSolution()
        if not solution.dual_valid:
            return np.zeros(self._table.shape[0])
        return -np.asarray(solution.row_dual, dtype=float)
