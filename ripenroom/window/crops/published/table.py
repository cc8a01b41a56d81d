"""Statements as a table: headings with the axis of their group, and a row per statement."""

from collections.abc import Sequence
from enum import IntEnum

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, Qt
from PySide6.QtGui import QFontMetrics, QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.texts import tr
from ripenroom.window.crops.published.claims import Claim, ClaimGroup
from ripenroom.window.crops.published.picture import (
    axis_rect,
    paint_axis,
    paint_claim,
    paint_lines,
)
from ripenroom.window.palette import Palette
from ripenroom.window.plain import run_from_left
from ripenroom.window.style_sheet import target_height
from ripenroom.window.theme import ink
from ripenroom.window.widgets.table import Table, TableColumn

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """Columns in their order."""

    CASE = 0
    PICTURE = 1
    NUMBERS = 2


ClaimRow = tuple[ClaimGroup, Claim | None]
"""A statement with its group, or None: the group's heading."""


def is_heading(row: ClaimRow) -> bool:
    """Whether a row is the heading of a group, which the keyboard passes over."""
    return row[1] is None


def claim_rows(groups: Sequence[ClaimGroup]) -> list[ClaimRow]:
    """Each group's heading and its statements below it."""
    return [(group, claim) for group in groups if group.claims for claim in (None, *group.claims)]


def claim_columns() -> list[TableColumn[ClaimRow]]:
    """The columns as :class:`Column` has them.

    A listener hears all of a statement in sentences, in whichever of its cells.
    """

    def case(row: ClaimRow) -> str:
        group, claim = row
        if claim is None:
            return group.title
        return f"{claim.case}\n{claim.source}" if claim.case else claim.source

    def numbers(row: ClaimRow) -> str:
        claim = row[1]
        if claim is None:
            return ""
        return tr("{published}\nprogram: {answer}").format(
            published=claim.published, answer=claim.answer
        )

    def heard(row: ClaimRow) -> str:
        return row[1].told if row[1] else ""

    return [
        TableColumn(
            tr("Fruit and source"), case, heard=lambda row: heard(row) or case(row), hint=heard
        ),
        TableColumn(tr("Published, and the program"), lambda _row: "", heard=heard, hint=heard),
        TableColumn(tr("In numbers"), numbers, heard=heard, hint=heard),
    ]


_PADDING_PX = 4
_MOST_LINES = 3
_WRAPPED = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


def row_height(table: Table[ClaimRow], row: int, case_px: int, of: QWidget) -> int:
    """How many pixels a row needs where the column of cases is ``case_px`` wide."""
    metrics = of.fontMetrics()
    if is_heading(table.rows[row]):
        return round(1.7 * metrics.height())
    case, _, source = table.text(row, Column.CASE).rpartition("\n")
    lines = _wrapped(case or source, case_px - 2 * _PADDING_PX, metrics) + metrics.lineSpacing()
    return max(lines + 2 * _PADDING_PX, target_height(of.font()))


def _on_one_line(text: str, wide: int, metrics: QFontMetrics) -> str:
    """A text of which the end, after its last dot, stays whole."""
    first, dot, last = text.rpartition(" · ")
    room = wide - metrics.horizontalAdvance(dot + last)
    return (
        metrics.elidedText(first, Qt.TextElideMode.ElideRight, room) + dot + last
        if dot
        else (metrics.elidedText(text, Qt.TextElideMode.ElideRight, wide))
    )


def _wrapped(text: str, wide: int, metrics: QFontMetrics) -> int:
    """The height of a text, at most so many lines."""
    box = metrics.boundingRect(QRect(0, 0, wide, 10_000), int(_WRAPPED), text)
    return min(box.height(), _MOST_LINES * metrics.lineSpacing())


class ClaimRows(QStyledItemDelegate):
    """Paints statements; what is chosen is framed, so its picture stays as it is."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """One cell."""
        table, view = index.model(), option.widget
        assert isinstance(table, Table)
        colours = ink(view) if isinstance(view, QWidget) else ink()
        painter.save()
        painter.setClipRect(option.rect)
        group, claim = table.rows[index.row()]
        if claim is None:
            self._heading(painter, option, index, group, colours)
        else:
            self._cell(painter, option, index, group, claim, colours)
        painter.restore()

    def _heading(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: Index,
        group: ClaimGroup,
        colours: Palette,
    ) -> None:
        painter.fillRect(option.rect, colours.panel)
        if index.column() == Column.PICTURE:
            metrics = QFontMetricsF(option.font)
            axis = axis_rect(QRectF(option.rect), metrics)
            run_from_left(painter)
            paint_axis(painter, axis, group.scale, metrics, colours, option.locale)
        elif index.column() == Column.CASE:
            font = option.font
            font.setBold(True)
            painter.setFont(font)
            painter.setPen(colours.text)
            area = option.rect.adjusted(_PADDING_PX, 0, -_PADDING_PX, -1)
            title = painter.fontMetrics().elidedText(
                group.title, Qt.TextElideMode.ElideRight, area.width()
            )
            align = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
            painter.drawText(area, align, title)

    def _cell(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: Index,
        group: ClaimGroup,
        claim: Claim,
        colours: Palette,
    ) -> None:
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        if index.column() == Column.PICTURE:
            metrics = QFontMetricsF(option.font)
            axis = axis_rect(QRectF(option.rect), metrics)
            run_from_left(painter)
            painter.fillRect(option.rect, colours.paper)
            paint_lines(painter, axis, group.scale, metrics, colours)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            paint_claim(painter, axis, claim, group.scale, metrics.height(), colours)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        else:
            if chosen:
                painter.fillRect(option.rect, colours.chosen)
            self._words(painter, option, str(index.data()), chosen, colours)
        if chosen:
            painter.setPen(colours.accent)
            painter.drawLine(option.rect.topLeft(), option.rect.topRight())
            painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())
        else:
            painter.setPen(colours.line)
            painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(colours.on_chosen if chosen else colours.accent)
            painter.drawRect(option.rect.adjusted(0, 0, -1, -1))

    def _words(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        text: str,
        chosen: bool,
        colours: Palette,
    ) -> None:
        """Lines of text, the last one in fainter ink and on one line."""
        lines, metrics = text.split("\n"), option.fontMetrics
        area = option.rect.adjusted(_PADDING_PX, _PADDING_PX, -_PADDING_PX, -_PADDING_PX)
        for number, line in enumerate(lines):
            is_last = number == len(lines) - 1 and number > 0
            if is_last:
                line = _on_one_line(line, area.width(), metrics)
            painter.setPen(colours.on_chosen if chosen else colours.faint if is_last
                           else colours.text)  # fmt: skip
            painter.drawText(area, int(_WRAPPED), line)
            area.setTop(area.top() + _wrapped(line, area.width(), metrics))
