"""Controls with less air, for windows that are small for their letters."""

from PySide6.QtWidgets import QWidget


def be_tight(row: QWidget, tight: bool) -> None:
    """Give the controls in a row less air to their sides, or as much as everywhere.

    They stay as high as they are, to be hit. The style sheet says how much air that is.
    """
    if row.property("tight") is tight:
        return
    row.setProperty("tight", tight)
    # A style sheet looks at properties only when it is laid on.
    style = row.style()
    for widget in (row, *row.findChildren(QWidget)):
        style.unpolish(widget)
        style.polish(widget)
        widget.updateGeometry()
