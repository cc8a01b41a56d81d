"""What a batch still needs before it ripens (its gate: cold or ethylene), as columns."""

from collections.abc import Sequence

import numpy as np

from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.gate import part_needs
from ripenroom.science.gate_opening import Gates
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import GateConstants


def own_needs(batches: BatchAges, kind: Indices, gates: Sequence[GateConstants]) -> Floats:
    """How many times its usual need each batch has, by how ripe it was picked, (batches,)."""
    times = np.ones(kind.size)
    for number, gate in enumerate(gates):
        if gate.per_age < 1.0:
            mine = kind == number
            times[mine] = gate.need_of(batches.mean_age[mine])
    return times


def gates_of(kind: Indices, gates: Sequence[GateConstants]) -> Gates:
    """The gate of each batch, by the number of its kind, (batches,)."""
    return Gates(
        shut=np.array([gate.shut for gate in gates])[kind],
        meanwhile=np.array([gate.meanwhile for gate in gates])[kind],
        part=part_needs(np.array([gate.width for gate in gates]))[kind],
    )
