"""What fruit needs before it ripens (its gate: cold or ethylene), of a crop and batch by batch."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.science.allowances import AllowanceRange
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.gate_opening import Gates, need_at_age
from ripenroom.science.gated_ageing import part_needs
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class GateConstants:
    """What must happen before a crop ripens at full speed, and its share of speed meanwhile.

    ``ethylene_h`` (hours; low end, middle and high end) of treatment open all of it; inf where they
    do not. A crop without a gate has ``shut`` False. ``need`` and ``ethylene_h`` are those of fruit
    of ``usual_age`` at pick, and ``per_age`` what a pick that is riper by one age needs of them.
    ``width`` says how gradually it opens (:func:`ripenroom.science.gated_ageing.part_needs`);
    0: at once.
    """

    shut: bool
    need: AllowanceRange
    meanwhile: float
    ethylene_h: tuple[float, float, float]
    usual_age: float = 0.0
    per_age: float = 1.0
    width: float = 0.0

    @property
    def treated_h(self) -> tuple[float, float, float]:
        """Hours of treatment that meet the need, by either end and the middle: less than open all
        of the gate, as its last part needs more than the need."""
        last = float(part_needs(self.width)[-1])
        low, mid, high = self.ethylene_h
        return low / last, mid / last, high / last

    def need_of(self, age: Floats) -> Floats:
        """How many times the usual need fruit has of these mean ages at pick."""
        return need_at_age(age, self.usual_age, self.per_age)


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
