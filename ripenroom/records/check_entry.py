"""A check as it is entered, before it is written down."""

from dataclasses import dataclass
from datetime import datetime

from ripenroom.records.batch import FeelCounts
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """What the check form or the command line hands over; ``at`` is aware.

    Either ``feel_counts`` or ``readings`` (as the gauge showed them) with their unit.
    """

    batch_id: str
    at: datetime
    feel_counts: FeelCounts | None = None
    readings: tuple[float, ...] = ()
    reading_unit: ForceUnit | None = None
    probe_mm: float | None = None
    note: str = ""
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""
