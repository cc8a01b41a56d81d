"""What a thermometer in a place wrote down."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureLog:
    """A series of air temperatures of a place, from ``starts_at`` to ``ends_at`` (UTC).

    ``name`` is the file that it came from, ``probe`` which of its columns. ``series`` are the
    values, packed (see :mod:`ripenroom.records.temperature_series`).
    """

    id: str
    place_id: str
    name: str
    probe: str
    starts_at: datetime
    ends_at: datetime
    series: bytes
