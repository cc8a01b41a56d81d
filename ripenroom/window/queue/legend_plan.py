"""What the drawing of the plan means, and which of its marks are there to be seen."""

import math

from PySide6.QtCore import QCoreApplication

from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.ways import Fate, Way


def plan_entries() -> dict[str, str]:
    """Marks of the plan, by name, and what they mean."""
    return {
        "sold": QCoreApplication.translate("Legend", "crates for that day"),
        "pull": QCoreApplication.translate("Legend", "planned move"),
        "knot": QCoreApplication.translate("Legend", "knot: pinned"),
        "packed": QCoreApplication.translate("Legend", "filled: packed"),
        "expected": QCoreApplication.translate("Legend", "dashes: expected pick"),
    }


def marks_in(scene: Scene) -> frozenset[str]:
    """Which marks the scene's lines have."""
    found = {"expected"} if scene.expected else set()
    if scene.planned is None:
        return frozenset(found)
    for row in range(scene.rows):
        for way in scene.ways_of(scene.line_at(row)):
            found.update(_marks_of(way))
    return frozenset(found)


def _marks_of(way: Way) -> list[str]:
    marks = []
    if way.fate is Fate.SOLD:
        marks.append("packed" if way.line.packed else "sold")
    if way.pinned:
        marks.append("knot")
    elif not math.isnan(way.pull_h) and way.fate is not Fate.SECOND_GRADE:
        marks.append("pull")
    return marks
