"""A check as it is entered, before it is written down."""

from dataclasses import dataclass

from ripenroom.records.batch import FeelCounts
from ripenroom.records.limits import Id, Moment, Note, ProbeMm, Readings
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """What the check form or the command line hands over; ``at`` is aware.

    Either ``feel_counts`` or ``readings`` (as the gauge showed them) with their unit.
    """

    batch_id: Id
    at: Moment
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    note: Note = ""
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""
