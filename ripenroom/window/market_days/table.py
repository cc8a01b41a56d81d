"""The market days as a table: what comes next on top, what is over below."""

from enum import IntEnum

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.plain import heading
from ripenroom.window.session import Session
from ripenroom.window.theme import bold, ink
from ripenroom.wording.market_days import MarketDayOutlook, market_lines, want_words
from ripenroom.wording.names import market_kind_name
from ripenroom.wording.plan.worth import money_about

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """The columns from the left."""

    DAY = 0
    WHERE = 1
    WANTS = 2


class MarketTable(QAbstractTableModel):
    """Rows are :class:`MarketDayOutlook`: its words are here, the last column is painted."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.lines: list[MarketDayOutlook] = []
        self.folded = False
        """There is no room for :attr:`Column.WHERE`: the day's cell says it too."""

    def refresh(self) -> None:
        """Read the season anew."""
        self.beginResetModel()
        self.lines = market_lines(self._session)
        self.endResetModel()

    def row_of(self, market_day_id: str) -> int | None:
        """The row of a market day."""
        rows = (n for n, line in enumerate(self.lines) if line.day.id == market_day_id)
        return next(rows, None)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """One row per market day."""
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Day, where, wants."""
        return 0 if parent.isValid() else len(Column)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """The columns' headings."""
        return heading(section, orientation, role, self._headings)

    def _headings(self) -> tuple[str, ...]:
        return tr("Day"), tr("Where"), tr("Wanted, planned, and ready by then")

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words for the eye and, in the last column, for a listener."""
        line, words = self.lines[index.row()], self._session.words
        if role == Qt.ItemDataRole.ToolTipRole and any(want.planned for want in line.wants):
            return tr("Risk: how likely under four fifths of what is wanted will be ready")
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        if index.column() == Column.DAY:
            day = f"{words.day(line.day.starts_at)}\n{words.time(line.day.starts_at)}"
            if self.folded:
                moment = words.moment(line.day.starts_at)
                day = tr("{moment}\n{name}").format(moment=moment, name=line.day.name)
            # To the eye its faint ink says that a day is over.
            heard = role == Qt.ItemDataRole.AccessibleTextRole
            return tr("{day}, over").format(day=day) if line.over and heard else day
        if index.column() == Column.WHERE:
            return f"{line.day.name}\n{market_kind_name(line.day.kind)}"
        said = [want_words(want, words) for want in line.wants]
        foot = self.foot_words(line)
        return "\n".join([*said, foot] if foot else said)

    def foot_words(self, line: MarketDayOutlook) -> str:
        """What is said beneath a market day's crops: its takings, and whether it is settled."""
        parts = []
        if line.takings_minor is not None:
            words, takings = self._session.words, line.takings_minor
            parts.append(
                tr("sold for {money}").format(money=words.money(round(takings)))
                if line.over
                else tr("expected sales: about {money}").format(money=money_about(takings, words))
            )
        if line.over and line.day.settled_at is None:
            parts.append(
                tr("not all entered yet")
                if any(want.sale is not None for want in line.wants)
                else tr("nothing entered yet")
            )
        return "; ".join(parts)


PAD = 8.0
"""Pixels around what a cell says."""


def begin_cell(
    painter: QPainter, option: QStyleOptionViewItem, colours: Palette
) -> tuple[QRectF, bool]:
    """Paint a chosen row's ground; the room for the cell's words, and whether it is chosen."""
    chosen = bool(option.state & QStyle.StateFlag.State_Selected)
    if chosen:
        painter.fillRect(option.rect, colours.chosen)
    return QRectF(option.rect).adjusted(PAD, PAD, -PAD, -PAD), chosen


class DaysDelegate(QStyledItemDelegate):
    """For the day and the place of a market day; what is over is fainter altogether."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Both lines whole."""
        metrics = QFontMetricsF(bold(option.font))
        lines = str(index.data()).split("\n")
        wide = max(metrics.horizontalAdvance(line) for line in lines)
        return QSize(round(wide + 2 * PAD) + 2, round(metrics.height() * 1.35 * 2 + 2 * PAD))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """First line heavy, second plain."""
        model, view = index.model(), self.parent()
        assert isinstance(model, MarketTable)
        assert isinstance(view, QWidget)
        colours = ink(view)
        over = model.lines[index.row()].over
        painter.save()
        rect, chosen = begin_cell(painter, option, colours)
        heavy = bold(option.font)
        line_px = QFontMetricsF(heavy).height() * 1.35
        first, _, second = str(index.data()).partition("\n")
        for number, (text, font) in enumerate(((first, heavy), (second, option.font))):
            faint = colours.faint if over or number else colours.text
            painter.setPen(colours.on_chosen if chosen else faint)
            painter.setFont(font)
            cell = QRectF(rect.x(), rect.y() + number * line_px, rect.width(), line_px)
            shown = QFontMetricsF(font).elidedText(text, Qt.TextElideMode.ElideRight, cell.width())
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, shown)
        painter.restore()
