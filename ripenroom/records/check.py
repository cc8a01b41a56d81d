"""A check: some fruit of a batch squeezed again, by hand or with a gauge."""

from dataclasses import dataclass

from ripenroom.records.batch import FeelCounts
from ripenroom.records.limits import Id, Moment, Note, ProbeMm, Readings
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What fruit of a batch felt like at ``at`` (UTC); the fruit was taken at random.

    Known by ``feel_counts`` (fruit of each feel) or by ``readings`` as the gauge showed them, in
    ``reading_unit`` with a probe of ``probe_mm``. A check that is not ``counted`` stays written
    down, and nothing is learned from it.
    """

    id: Id
    batch_id: Id
    at: Moment
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    counted: bool = True
    note: Note = ""
