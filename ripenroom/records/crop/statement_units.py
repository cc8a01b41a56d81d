"""Units in which statements are printed, and how much of each there can be."""

from collections.abc import Mapping
from typing import Final

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.units import NEWTONS_PER

DAYS: Final = {"days": 1.0, "weeks": 7.0, "months": 30.4, "h": 1.0 / 24.0}
NEWTONS: Final = {str(unit): newton for unit, newton in NEWTONS_PER.items()}
BASE_OF: Final = DAYS | NEWTONS
"""Days, or newtons, in a unit in which durations or firmness are printed."""

GREEN: Final = "% green"

LONGEST_DAYS: Final = 800.0
"""No fruit waits, keeps or ripens for longer."""

WEAKEST_N, STRONGEST_N = 0.01, 1000.0
"""Firmness beyond these is that of no fruit (the limits of a profile's own firmness)."""

_MOST: Final = {GREEN: 100.0, "%": 100.0, "% of start": 100.0, "times": 100.0, "C": 100.0}
_MOST_OF_ANYTHING: Final = 10_000.0


def limits_of(unit: str) -> tuple[float, float]:
    """The least and the most that an end of a statement can be, in the unit in which it is printed.

    >>> limits_of("weeks")
    (0.0, 114.28571428571429)
    """
    if unit in DAYS:
        return 0.0, LONGEST_DAYS / DAYS[unit]
    if unit in NEWTONS:
        return 0.0, STRONGEST_N / NEWTONS[unit]
    return -100.0 if unit == "C" else 0.0, _MOST.get(unit, _MOST_OF_ANYTHING)


def units_of_figure(document: CropDocument, path: Path) -> Mapping[str, float]:
    """Units in which a statement about the profile's figure at ``path`` may be printed, each with
    how many days, newtons or (of others) times itself it is; empty where there is no such figure.

    A figure is a table with a value and a unit, or a bare temperature, whose key ends in ``_c``.
    """
    found = document.get(path)
    if isinstance(found, int | float) and not isinstance(found, bool):
        return {"C": 1.0} if str(path[-1]).endswith("_c") else {}
    table = document.table(path)
    unit = table.get("unit")
    if "value" not in table or not isinstance(unit, str):
        return {}
    for known in (DAYS, NEWTONS):
        if unit in known:
            return known
    return {"C" if unit == "F" else unit: 1.0}
