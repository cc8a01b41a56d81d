"""Lags that are summed over short steps of time, where no polynomial would do."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import DAY_H
from ripenroom.science.clock import Indices
from ripenroom.science.process import Process, rates_of
from ripenroom.science.softening import Floats
from ripenroom.science.unsettled import AT_ONCE, STEPS, Unsettled


@dataclass(frozen=True, slots=True)
class Steps:
    """Lags that are summed over steps of time: ``number`` (batches, most stays) is the line of each
    such stay, else -1; ``so_far`` (lines, steps + 1) what it adds by the end of each of its steps,
    which take ``step_h``. All stays that add nothing share the first line. There are very many, and
    seven digits of each are more than enough."""

    number: Indices
    step_h: Floats
    so_far: npt.NDArray[np.float32]

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
    unsettled: Unsettled, some: Indices, kinds: Sequence[Sequence[Process]], which: Indices
) -> list[Steps | None]:
    """The lags of some lines of ``unsettled.nodes``, if any, one for each of ``kinds``.

    ``which`` picks each line's process of a kind. All kinds share the pulp, which costs most.
    """
    if not some.size:
        return [None for _ in kinds]
    nodes = unsettled.nodes
    none_from_c = np.array([process.none_from_c for process in kinds[0]])[which[some]]
    step_h = unsettled.over_h[nodes.batch[some], nodes.stay[some]] / STEPS
    line = np.zeros(some.size, np.intp)
    lines_h, count = [np.ones(1)], 1
    so_far = [[np.zeros((1, STEPS + 1), np.float32)] for _ in kinds]
    # Pulp that never gets cold enough for a process gains nothing from it.
    cold = np.flatnonzero(unsettled.coldest_by_steps_c[some] < none_from_c)
    for first in range(0, cold.size, AT_ONCE):
        rows = cold[first : first + AT_ONCE]
        these = some[rows]
        hours, settled, arrived = unsettled.by_steps(these)
        own = which[these]
        more = [rates_of(one, own, arrived) - rates_of(one, own, settled) for one in kinds]
        adds = np.flatnonzero(np.any([gain.any(axis=1) for gain in more], axis=0))
        if not adds.size:
            continue
        line[rows[adds]] = np.arange(count, count + adds.size)
        count += adds.size
        lines_h.append(step_h[rows[adds]])
        for gain, sums in zip(more, so_far, strict=True):
            sums.append(np.zeros((adds.size, STEPS + 1), np.float32))
            sums[-1][:, 1:] = np.cumsum(gain[adds] * (hours[adds, None] / DAY_H), axis=1)
    number = np.full(unsettled.stays.start_h.shape, -1)
    number[nodes.batch[some], nodes.stay[some]] = line
    return [Steps(number, np.concatenate(lines_h), np.concatenate(sums)) for sums in so_far]
