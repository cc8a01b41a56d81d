"""What the drawing of the plan means."""

from PySide6.QtCore import QCoreApplication


def plan_entries() -> list[tuple[str, str]]:
    """Marks of the plan, by name, and what they mean."""
    return [
        ("pull", QCoreApplication.translate("Legend", "ring: pulled")),
        ("knot", QCoreApplication.translate("Legend", "knot: pinned")),
        ("sold", QCoreApplication.translate("Legend", "number: crates sold")),
        ("packed", QCoreApplication.translate("Legend", "filled: packed")),
        ("left", QCoreApplication.translate("Legend", "dots: left over")),
    ]
