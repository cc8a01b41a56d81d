"""Tables and figures of a profile file, read key by key; what is wrong is named by its dotted key.

A figure is an inline table of value, range, unit and source, and is read into our units:

``ready = { value = 1.0, low = 0.7, high = 1.3, unit = "kgf", source = "someone1994" }``
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TypeAlias

from ripenroom.records.crop.profile import Figure, Source
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.units import KILOGRAMS_PER, NEWTONS_PER, celsius

Table: TypeAlias = Mapping[str, object]

LONGEST_TEXT = 2000
"""Characters in one text of a profile; a longer one is no citation and no note."""


class ProfileRefusal(Refusal):
    """A crop profile that is not taken: which file, which dotted key in it, and why.

    ``field`` is the dotted key, empty when the file as a whole is refused.
    """

    def __init__(self, path: Path, key: str, reason: str) -> None:
        self.path = path
        self.key = key
        self.reason = reason
        text = "{file}: {key}: {reason}" if key else "{file}: {reason}"
        super().__init__(key, text, file=str(path), key=key, reason=reason)


def _shown(value: object) -> str:
    """A short form of any value of a file, safe for numbers and nests of any size."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return f"{value!r:.40}"
        case int() if abs(value) >= 10**15:
            return tr("a very large number")
        case list():
            return tr("a list")
        case dict():
            return tr("a table")
        case _:
            return str(value)


class Section:
    """A table that is emptied as it is read, so that what is left over is known to be unknown."""

    def __init__(self, path: Path, table: Table, name: str = "") -> None:
        self._path = path
        self._left = dict(table)
        self._name = name

    def refusal(self, key: str, reason: str) -> ProfileRefusal:
        """What to raise when the value of ``key`` (empty: this table itself) is wrong."""
        dotted = ".".join(part for part in (self._name, key) if part)
        return ProfileRefusal(self._path, dotted, reason)

    def __contains__(self, key: str) -> bool:
        return key in self._left

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys that have not been read yet, in the file's order."""
        return tuple(self._left)

    def says(self, key: str, text: str) -> bool:
        """Whether the value of ``key`` is that very text; the key is not taken by this."""
        return self._left.get(key) == text

    def finish(self) -> None:
        """Refuse what nobody asked for: a misspelt key must not pass as an absent one."""
        for key in self._left:
            raise self.refusal(key, tr("unknown key"))

    def _take(self, key: str) -> object:
        try:
            return self._left.pop(key)
        except KeyError:
            raise self.refusal(key, tr("missing")) from None

    def text(self, key: str, pattern: str = r"\S(?s:.*\S)?", meant: str = "") -> str:
        """A text that matches ``pattern`` as a whole; ``meant`` says so in words."""
        meant = meant or tr("some text")
        value = self._take(key)
        if not isinstance(value, str):
            raise self.refusal(
                key,
                tr("needs to be {meant} in quotes, not {shown}").format(
                    meant=meant, shown=_shown(value)
                ),
            )
        if len(value) > LONGEST_TEXT:
            raise self.refusal(key, tr("longer than {most} characters").format(most=LONGEST_TEXT))
        if re.fullmatch(pattern, value) is None:
            raise self.refusal(
                key, tr("needs to be {meant}, not {shown}").format(meant=meant, shown=_shown(value))
            )
        return value

    def flag(self, key: str) -> bool:
        """``true`` or ``false``."""
        value = self._take(key)
        if not isinstance(value, bool):
            raise self.refusal(
                key, tr("needs to be true or false, not {shown}").format(shown=_shown(value))
            )
        return value

    def number(self, key: str, low: float, high: float) -> float:
        """A finite number from ``low`` to ``high``."""
        value = self._take(key)
        # In Python a bool is an int, but `value = true` is a slip and not a 1.
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.refusal(
                key, tr("needs to be a number, not {shown}").format(shown=_shown(value))
            )
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise self.refusal(key, tr("needs to be a finite number"))
        if not low <= number <= high:
            raise self.refusal(
                key,
                tr("needs to be from {low:g} to {high:g}, not {number:g}").format(
                    low=low, high=high, number=number
                ),
            )
        return number

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of different texts, none of them empty."""
        value = self._take(key)
        if not isinstance(value, list):
            raise self.refusal(
                key, tr("needs to be a list of texts, not {shown}").format(shown=_shown(value))
            )
        items = self._numbered(key, value)
        texts = tuple(items.text(item) for item in items.keys)
        if len(set(texts)) < len(texts):
            raise self.refusal(key, tr("names one thing twice"))
        return texts

    def section(self, key: str) -> "Section":
        """The table below this one."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.refusal(
                key, tr("needs to be a table, not {shown}").format(shown=_shown(value))
            )
        return Section(self._path, value, self.refusal(key, "").key)

    def table(self, key: str) -> Table:
        """The table below this one as it is written, of which nothing is checked here."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.refusal(
                key, tr("needs to be a table, not {shown}").format(shown=_shown(value))
            )
        return value

    def sections(self, key: str) -> tuple["Section", ...]:
        """The tables of an array of tables, at least one."""
        value = self._take(key)
        if not isinstance(value, list) or not value:
            raise self.refusal(
                key, tr("needs to be a list of tables, not {shown}").format(shown=_shown(value))
            )
        items = self._numbered(key, value)
        return tuple(items.section(item) for item in items.keys)

    def _numbered(self, key: str, values: list[object]) -> "Section":
        table = {f"{key}[{index}]": value for index, value in enumerate(values)}
        return Section(self._path, table, self._name)


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
        known = tr(" or ").join(f'"{name}"' for name in kind.units)
        raise table.refusal(
            "unit", tr('unknown unit "{unit}", needs to be {known}').format(unit=unit, known=known)
        )

    def number(key: str) -> float:
        written = table.number(key, float("-inf"), float("inf"))
        ours = kind.units[unit](written)
        if not kind.least <= ours <= kind.most:
            first = next(iter(kind.units))
            raise table.refusal(
                key,
                tr("{written:g} {unit} is not between {least:g} and {most:g} {first}").format(
                    written=written, unit=unit, least=kind.least, most=kind.most, first=first
                ),
            )
        return ours

    value, low, high = number("value"), number("low"), number("high")
    if low > value:
        raise table.refusal("low", tr("is above the value"))
    if value > high:
        raise table.refusal("high", tr("is below the value"))

    source = table.text("source")
    note = table.text("note") if "note" in table else ""
    if source == ESTIMATE:
        if not note:
            raise table.refusal("note", tr("missing: an estimate has to say how it was reached"))
    elif source != INFERRED and source not in sources:
        raise table.refusal(
            "source", tr('"{source}" is not among the sources').format(source=source)
        )
    return Figure(value=value, low=low, high=high, source=source, note=note)
