"""Lags that are summed over short steps of time, where no polynomial would do."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.science.air import DAY_H
from ripenroom.science.clock import Indices
from ripenroom.science.journey import settled_pulp_c
from ripenroom.science.process import Process, rates_of
from ripenroom.science.softening import Floats
from ripenroom.science.unsettled import Unsettled

_STEPS = 160
"""Steps of a lag that is summed: of a twentieth of a half-cooling time or so."""


@dataclass(frozen=True, slots=True)
class Steps:
    """Lags that are summed over steps of time: ``number`` (batches, most stays) is the line of each
    such stay, else -1; ``so_far`` (lines, steps + 1) what it adds by the end of each of its steps,
    which take ``step_h``."""

    number: Indices
    step_h: Floats
    so_far: Floats

    def of(self, lines: Indices | slice) -> "Steps":
        """Those of some batches only."""
        return Steps(self.number[lines], self.step_h, self.so_far)

    def at(self, line: Indices, since_h: Floats) -> tuple[Floats, Floats]:
        """What lines have added ``since_h`` hours into their stays, and at what pace (per hour)."""
        at = np.minimum(since_h / self.step_h[line], self.so_far.shape[1] - 1.0)
        step = np.minimum(at.astype(np.intp), self.so_far.shape[1] - 2)
        before = self.so_far[line, step]
        more = self.so_far[line, step + 1] - before
        return before + (at - step) * more, more / self.step_h[line]


def summed(
    unsettled: Unsettled, some: Indices, processes: Sequence[Process], which: Indices
) -> Steps | None:
    """The lag of some lines of ``unsettled.nodes``, if any; ``which`` picks each line's process."""
    if not some.size:
        return None
    nodes = unsettled.nodes
    over_h = unsettled.over_h[nodes.batch[some], nodes.stay[some]]
    step_h = over_h / _STEPS
    since_h = step_h[:, None] * (np.arange(_STEPS) + 0.5)
    settled = settled_pulp_c(nodes.place[some], nodes.begin_h[some, None] + since_h, unsettled.airs)
    left = np.exp2(-since_h / nodes.half_cooling_h[some, None])
    arrived = settled + nodes.difference_k[some, None] * left
    own = which[some]
    more = rates_of(processes, own, arrived) - rates_of(processes, own, settled)
    number = np.full(unsettled.stays.start_h.shape, -1)
    number[nodes.batch[some], nodes.stay[some]] = np.arange(some.size)
    so_far = np.cumsum(more * (step_h / DAY_H)[:, None], axis=1)
    return Steps(number, step_h, np.pad(so_far, ((0, 0), (1, 0))))
