"""A check: some fruit of a batch squeezed again, by hand or with a gauge."""

from dataclasses import dataclass
from datetime import datetime

from ripenroom.records.batch import FeelCounts
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What fruit of a batch felt like at ``at`` (UTC); the fruit was taken at random.

    Known by ``feel_counts`` (fruit of each feel) or by ``readings`` as the gauge showed them, in
    ``reading_unit`` with a probe of ``probe_mm``. A check that is not ``counted`` stays written
    down, and nothing is learned from it.
    """

    id: str
    batch_id: str
    at: datetime
    feel_counts: FeelCounts | None = None
    readings: tuple[float, ...] = ()
    reading_unit: ForceUnit | None = None
    probe_mm: float | None = None
    counted: bool = True
    note: str = ""
