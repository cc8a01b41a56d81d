"""A pick as it is entered, before it becomes one batch or several."""

from dataclasses import dataclass
from datetime import datetime

from ripenroom.records.batch import FeelCounts
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class PickEntry:
    """What the pick form or the command line hands over; times are aware, mass and heat are SI.

    With ``split_by_feel`` and feel counts of several feels, one batch is made of each feel.
    """

    crop: str
    place_id: str
    picked_at: datetime
    cultivar_id: str | None = None
    row_id: str | None = None
    count: int | None = None
    weight_kg: float | None = None
    feel_counts: FeelCounts | None = None
    readings: tuple[float, ...] = ()
    reading_unit: ForceUnit | None = None
    probe_mm: float | None = None
    pulp_c: float | None = None
    note: str = ""
    split_by_feel: bool = True
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""
