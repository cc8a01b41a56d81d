"""The headings of a table's columns, as a Qt model is asked for them."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt

LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def heading(
    section: int,
    orientation: Qt.Orientation,
    role: int,
    titles: Callable[[], Sequence[str]],
    alignment: Qt.AlignmentFlag = LEFT,
) -> object:
    """What ``headerData`` answers for a column: its title or how it is aligned; else None.

    ``titles`` gives those of all columns, and is asked for words only.
    """
    if orientation is not Qt.Orientation.Horizontal:
        return None
    if role == Qt.ItemDataRole.TextAlignmentRole:
        return alignment
    return titles()[section] if role == Qt.ItemDataRole.DisplayRole else None
