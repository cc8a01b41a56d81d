"""Figures of a profile file: an inline table of value, range, unit and source, read into our units.

``ready = { value = 1.0, low = 0.7, high = 1.3, unit = "kgf", source = "someone1994" }``
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from ripenroom.records.crop.profile import Figure, Source
from ripenroom.records.crop.section import Section
from ripenroom.units import KILOGRAMS_PER, NEWTONS_PER, celsius

ESTIMATE = "estimate"
"""The source of a figure that is our own reasoning; its note has to say which."""

INFERRED = "inferred"
"""The source of a figure that was inferred from all published statements about its crop."""

RESERVED = (ESTIMATE, INFERRED)
"""Names that no source may have."""

Convert = Callable[[float], float]


def _times(factor: float) -> Convert:
    return lambda value: value * factor


_AS_WRITTEN: Convert = _times(1.0)


@dataclass(frozen=True, slots=True)
class _Kind:
    """Units a figure may be written in, and the limits of what it can be in our own unit."""

    units: Mapping[str, Convert]
    least: float
    most: float


class Quantity(Enum):
    """What a figure measures. The limits only keep slips out: they say nothing about fruit."""

    FIRMNESS = _Kind({unit: _times(newton) for unit, newton in NEWTONS_PER.items()}, 0.01, 1000.0)
    TEMPERATURE = _Kind({"C": _AS_WRITTEN, "F": lambda value: celsius(value, "F")}, -30.0, 60.0)
    SPEED = _Kind({"per day": _AS_WRITTEN}, 0.001, 100.0)
    ENERGY = _Kind({"kJ/mol": _AS_WRITTEN}, 1.0, 1000.0)
    Q10 = _Kind({"per 10 C": _AS_WRITTEN}, 1.01, 20.0)
    AGE = _Kind({"age": _AS_WRITTEN}, 0.01, 10.0)
    DURATION = _Kind({"days": _AS_WRITTEN, "weeks": _times(7.0)}, 0.05, 1000.0)
    MASS = _Kind(
        {
            "g": _AS_WRITTEN,
            "kg": _times(1000.0),
            "lb": _times(1000.0 * KILOGRAMS_PER["lb"]),
        },
        0.1,
        50_000.0,
    )
    COUNT = _Kind({"fruit": _AS_WRITTEN}, 1.0, 10_000.0)
    PERCENT = _Kind({"%": _AS_WRITTEN}, 0.0, 100.0)
    GREEN = _Kind({"% green": _AS_WRITTEN}, 0.0, 100.0)
    TIMES_PER_AGE = _Kind({"times per age": _AS_WRITTEN}, 0.01, 1.0)
    OF_NEED = _Kind({"of the need": _AS_WRITTEN}, 0.01, 1.5)
    SHARE = _Kind({"of full speed": _AS_WRITTEN}, 0.0, 1.0)
    DOSE = _Kind({"ppm": _AS_WRITTEN}, 0.01, 10_000.0)
    HOURS = _Kind({"h": _AS_WRITTEN}, 0.1, 1000.0)
    RESPIRATION_BY_VOLUME = _Kind({"ml CO2/kg h": _AS_WRITTEN}, 0.01, 1000.0)
    RESPIRATION = _Kind({"mg CO2/kg h": _AS_WRITTEN}, 0.01, 2000.0)


def read_figure(
    parent: Section, key: str, quantity: Quantity, sources: Mapping[str, Source]
) -> Figure:
    """The figure at ``key``, in the profile's own unit.

    Raises :class:`~ripenroom.records.crop.section.ProfileRefusal` for a missing or unknown key, a
    wrong unit, a value outside of its own range, and a source that is not listed.
    """
    table = parent.section(key)
    figure = take_figure(table, quantity, sources)
    table.finish()
    return figure


def take_figure(table: Section, quantity: Quantity, sources: Mapping[str, Source]) -> Figure:
    """As :func:`read_figure`, from a table that may hold further keys."""
    kind = quantity.value
    unit = table.text("unit")
    if unit not in kind.units:
        known = " or ".join(f'"{name}"' for name in kind.units)
        raise table.refusal("unit", f'unknown unit "{unit}", needs to be {known}')

    def number(key: str) -> float:
        written = table.number(key, float("-inf"), float("inf"))
        ours = kind.units[unit](written)
        if not kind.least <= ours <= kind.most:
            first = next(iter(kind.units))
            raise table.refusal(
                key, f"{written:g} {unit} is not between {kind.least:g} and {kind.most:g} {first}"
            )
        return ours

    value, low, high = number("value"), number("low"), number("high")
    if low > value:
        raise table.refusal("low", "is above the value")
    if value > high:
        raise table.refusal("high", "is below the value")

    source = table.text("source")
    note = table.text("note") if "note" in table else ""
    if source == ESTIMATE:
        if not note:
            raise table.refusal("note", "missing: an estimate has to say how it was reached")
    elif source != INFERRED and source not in sources:
        raise table.refusal("source", f'"{source}" is not among the sources')
    return Figure(value=value, low=low, high=high, source=source, note=note)
