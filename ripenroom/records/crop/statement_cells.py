"""What a cell of a statement file may hold; ``ValueError`` says why one holds something else."""

import re
from typing import Final

from ripenroom.records.crop.statement import Waits
from ripenroom.records.crop.statement_units import LONGEST_DAYS

_ROOM = (21.0, 3.0)
"""Room temperature where none is given: 18 to 24 C (the range that extension leaflets print)."""

_FRIDGE = (4.0, 2.0)
"""A refrigerator: 2 to 6 C (common practice, no source)."""

UNSIGNED: Final = r"[0-9]+(?:\.[0-9]+)?"
"""Pattern of a number as it is printed: no sign, no exponent, no other digits."""

_NUMBER = re.compile(rf"-?{UNSIGNED}")
_WAITS = re.compile(
    rf"(?P<at>room|fridge|-?{UNSIGNED}(?: to -?{UNSIGNED})?)(?: for (?P<days>{UNSIGNED}))?"
)
_PART = re.compile(r"([a-z_0-9]+)(?:\[([0-9]{1,3})\])?")


def stay_of(text: str) -> Waits:
    """One stay, such as ``-1 for 28``, ``18 to 24``, ``room`` or ``fridge``."""
    found = _WAITS.fullmatch(text)
    if found is None:
        raise ValueError(
            f"{text!r} is no stay, such as '-1 for 28', '18 to 24', 'room' or 'fridge'"
        )
    days = None
    if found["days"]:
        days = number_within("stays", found["days"], 0.0, LONGEST_DAYS)
    if found["at"] in ("room", "fridge"):
        return Waits(*(_ROOM if found["at"] == "room" else _FRIDGE), days)
    ends = [celsius_of(end) for end in found["at"].split(" to ")]
    return Waits((ends[0] + ends[-1]) / 2.0, abs(ends[-1] - ends[0]) / 2.0, days)


def celsius_of(text: str) -> float:
    """A temperature at which fruit is kept."""
    celsius = float(text)
    if not -10.0 <= celsius <= 60.0:
        raise ValueError(f"{text} C: fruit is kept at -10 to 60 C")
    return celsius


def number_within(column: str, text: str, least: float, most: float, unit: str = "") -> float:
    """A plain decimal number in its limits (in ``unit``); ``column`` is named where it is not."""
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"{column}: {text!r} is no number")
    number = float(text)
    if not least <= number <= most:
        raise ValueError(f"{column}: {text} is not from {least:g} to {most:.4g} {unit}".rstrip())
    return number


def path_of(dotted: str) -> tuple[str | int, ...]:
    """The keys of a figure of a profile, such as ``gate.needs[0].days``."""
    path: list[str | int] = []
    for part in dotted.split("."):
        found = _PART.fullmatch(part)
        if found is None:
            raise ValueError(f"{dotted!r} is no path to a figure, such as ripe_life.q10")
        path.append(found[1])
        if found[2] is not None:
            path.append(int(found[2]))
    return tuple(path)


def printed_step(*printed: str) -> float:
    """The step in which numbers were printed: 1, or 0.1 for 2.5, and so on."""
    decimals = max((len(text.partition(".")[2]) for text in printed if text), default=0)
    return float(10.0**-decimals)
