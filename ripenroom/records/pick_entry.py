"""A pick as it is entered, before it becomes one batch or several."""

from dataclasses import dataclass

from ripenroom.records.batch import FeelCounts
from ripenroom.records.limits import (
    CropKey,
    Id,
    Moment,
    Note,
    PickedFruit,
    PickedWeight,
    ProbeMm,
    PulpC,
    Readings,
)
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class PickEntry:
    """What the pick form or the command line hands over; times are aware, mass and heat are SI.

    With ``split_by_feel`` and feel counts of several feels, one batch is made of each feel.
    """

    crop: CropKey
    place_id: Id
    picked_at: Moment
    cultivar_id: Id | None = None
    row_id: Id | None = None
    count: PickedFruit | None = None
    weight_kg: PickedWeight | None = None
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    pulp_c: PulpC | None = None
    note: Note = ""
    split_by_feel: bool = True
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""
