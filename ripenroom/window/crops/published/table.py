"""Statements as a table: headings with the axis of their group, and a row per statement."""

from collections.abc import Sequence
from enum import IntEnum

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    Qt,
)
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
from ripenroom.window.plain import heading, plain_hint, run_from_left
from ripenroom.window.style_sheet import target_height
from ripenroom.window.theme import ink

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """Columns in their order."""

    CASE = 0
    PICTURE = 1
    NUMBERS = 2


class ClaimTable(QAbstractTableModel):
    """Rows are headings, which the keyboard passes over, and the statements below them."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._groups: Sequence[ClaimGroup] = ()
        self._rows: list[tuple[ClaimGroup, Claim | None]] = []

    def show_groups(self, groups: Sequence[ClaimGroup], *, only_missed: bool) -> None:
        """Show all of these, or only what is missed of them."""
        self.beginResetModel()
        shown = [group.missed for group in groups] if only_missed else groups
        self._rows = [
            (group, claim) for group in shown if group.claims for claim in (None, *group.claims)
        ]
        self.endResetModel()

    def group(self, row: int) -> ClaimGroup:
        """The group that a row belongs to."""
        return self._rows[row][0]

    def claim(self, row: int) -> Claim | None:
        """The statement in a row; None for a heading, and where there is no such row."""
        return self._rows[row][1] if 0 <= row < len(self._rows) else None

    def row_of(self, claim: Claim | None) -> int:
        """The row of a statement, or of the first one where that is not there; -1 for none."""
        rows = [row for row, (_, there) in enumerate(self._rows) if there is not None]
        return next((row for row in rows if self._rows[row][1] == claim), rows[0] if rows else -1)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Headings and statements."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """As many as :class:`Column` has."""
        return 0 if parent.isValid() else len(Column)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Statements can be chosen, headings cannot."""
        if self.claim(index.row()) is None:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """The columns' headings."""
        return heading(section, orientation, role, self._headings)

    def _headings(self) -> tuple[str, ...]:
        return (
            tr("Fruit and source"),
            tr("Published, and the program"),
            tr("In numbers"),
        )

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words for the eye, and all of a statement in sentences for a listener."""
        group, claim = self._rows[index.row()]
        if claim is None:
            heard = role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole)
            return group.title if heard and index.column() == Column.CASE else None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return claim.told
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_hint(claim.told)
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if index.column() == Column.CASE:
            return f"{claim.case}\n{claim.source}" if claim.case else claim.source
        if index.column() == Column.NUMBERS:
            return tr("{published}\nprogram: {answer}").format(
                published=claim.published, answer=claim.answer
            )
        return None


_PADDING_PX = 4
_MOST_LINES = 3
_WRAPPED = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


def row_height(table: ClaimTable, row: int, case_px: int, of: QWidget) -> int:
    """How many pixels a row needs where the column of cases is ``case_px`` wide."""
    metrics = of.fontMetrics()
    if table.claim(row) is None:
        return round(1.7 * metrics.height())
    case, _, source = str(table.data(table.index(row, Column.CASE))).rpartition("\n")
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
    """Paints a :class:`ClaimTable`; what is chosen is framed, so its picture stays as it is."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """One cell."""
        table, view = index.model(), option.widget
        assert isinstance(table, ClaimTable)
        colours = ink(view) if isinstance(view, QWidget) else ink()
        painter.save()
        painter.setClipRect(option.rect)
        if table.claim(index.row()) is None:
            self._heading(painter, option, index, table, colours)
        else:
            self._cell(painter, option, index, table, colours)
        painter.restore()

    def _heading(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: Index,
        table: ClaimTable,
        colours: Palette,
    ) -> None:
        painter.fillRect(option.rect, colours.panel)
        group = table.group(index.row())
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
        table: ClaimTable,
        colours: Palette,
    ) -> None:
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        claim, group = table.claim(index.row()), table.group(index.row())
        assert claim is not None
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
