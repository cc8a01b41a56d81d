"""What a thermometer in a place wrote down."""

from dataclasses import dataclass

from ripenroom.records.limits import Id, Line, Moment, Series


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureLog:
    """A series of air temperatures of a place, from ``starts_at`` to ``ends_at`` (UTC).

    ``name`` is the file that it came from, ``probe`` which of its columns. ``series`` are the
    values, packed (see :mod:`ripenroom.records.temperature_series`).
    """

    id: Id
    place_id: Id
    name: Line
    probe: Line
    starts_at: Moment
    ends_at: Moment
    series: Series
