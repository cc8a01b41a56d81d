"""Points from papers: one published duration at one temperature, with its source."""

import csv
from dataclasses import dataclass
from pathlib import Path

from ripenroom.paths import resource
from tests.outside.statements import Role

COLUMNS = ("quantity", "temperature_c", "value", "unit", "source", "role")
_DAYS_IN = {"days": 1.0, "weeks": 7.0, "h": 1.0 / 24.0}


class PointError(ValueError):
    """A points file that cannot be taken: which file, which line, and why."""


@dataclass(frozen=True, slots=True)
class Point:
    """``quantity`` takes ``days`` at ``temperature_c`` according to ``source``."""

    quantity: str
    temperature_c: float
    days: float
    source: str
    role: Role


def point_files() -> dict[str, Path]:
    """The shipped points files by the key of their crop."""
    return {path.stem: path for path in sorted(resource("crops", "points").glob("*.csv"))}


def read_points(path: Path) -> tuple[Point, ...]:
    """Every point in the file at ``path``, in its order; raises :class:`PointError`."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file)
        if tuple(rows.fieldnames or ()) != COLUMNS:
            raise PointError(f"{path.name}: the first line needs to be {','.join(COLUMNS)}")
        return tuple(_point(row, f"{path.name}, line {rows.line_num}") for row in rows)


def _point(row: dict[str, str], where: str) -> Point:
    try:
        unit, role = _DAYS_IN[row["unit"]], Role(row["role"])
        celsius, value = float(row["temperature_c"]), float(row["value"])
    except (KeyError, TypeError, ValueError) as error:
        raise PointError(f"{where}: {error}") from error
    if not -10.0 <= celsius <= 50.0 or value <= 0.0:
        raise PointError(f"{where}: {value:g} {row['unit']} at {celsius:g} C cannot be")
    return Point(row["quantity"], celsius, value * unit, row["source"], role)
