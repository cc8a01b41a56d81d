"""What the cells of the market days have in common."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyleOptionViewItem

from ripenroom.window.inks import Ink

PAD = 8.0
"""Pixels around what a cell says."""


def begin_cell(
    painter: QPainter, option: QStyleOptionViewItem, colours: Ink
) -> tuple[QRectF, bool]:
    """Paint a chosen row's ground; the room for the cell's words, and whether it is chosen."""
    chosen = bool(option.state & QStyle.StateFlag.State_Selected)
    if chosen:
        painter.fillRect(option.rect, colours.chosen)
    return QRectF(option.rect).adjusted(PAD, PAD, -PAD, -PAD), chosen
