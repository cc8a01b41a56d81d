"""The market days as a table: what comes next on top, what is over below."""

from collections.abc import Callable
from enum import IntEnum

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.session import Session
from ripenroom.window.theme import bold, ink
from ripenroom.window.widgets.table import Table, TableColumn
from ripenroom.wording.formats import in_percent
from ripenroom.wording.likely_fruit import likely_at
from ripenroom.wording.market_days import MarketDayOutlook, want_words
from ripenroom.wording.names import market_kind_name
from ripenroom.wording.plan.worth import money_about


class Column(IntEnum):
    """The columns from the left."""

    DAY = 0
    WHERE = 1
    WANTS = 2


def market_columns(
    session: Session, is_folded: Callable[[], bool]
) -> list[TableColumn[MarketDayOutlook]]:
    """The columns as :class:`Column` has them; the last one is painted.

    While it ``is_folded`` there is no room for :attr:`Column.WHERE`, and the day's cell says it.
    """

    def day(line: MarketDayOutlook) -> str:
        words, at = session.words, line.day.starts_at
        if is_folded():
            moment = words.moment(at)
            return tr("{moment}\n{name}").format(moment=moment, name=line.day.name)
        return f"{words.day(at)}\n{words.time(at)}"

    def day_heard(line: MarketDayOutlook) -> str:
        # To the eye its faint ink says that a day is over.
        return tr("{day}, over").format(day=day(line)) if line.over else day(line)

    def where(line: MarketDayOutlook) -> str:
        return f"{line.day.name}\n{market_kind_name(line.day.kind)}"

    def wants(line: MarketDayOutlook) -> str:
        said = [want_words(want, session.words) for want in line.wants]
        foot = foot_words(line, session)
        return "\n".join([*said, foot] if foot else said)

    def risk(line: MarketDayOutlook) -> str | None:
        if not any(want.planned for want in line.wants):
            return None
        return tr(
            "Risk: the chance that less than {share} of what is wanted is good to sell"
        ).format(share=in_percent(80))

    return [
        TableColumn(tr("Day"), day, heard=day_heard, hint=risk),
        TableColumn(tr("Where"), where, hint=risk),
        TableColumn(tr("Wanted, planned, and good to sell then"), wants, hint=risk),
    ]


def foot_words(line: MarketDayOutlook, session: Session) -> str:
    """What is said beneath a market day's crops: its takings, and whether it is settled."""
    parts = []
    if line.takings_minor is not None:
        words, takings = session.words, line.takings_minor
        parts.append(
            tr("sold for {money}").format(money=words.money(round(takings)))
            if line.over
            else tr("expected sales: about {money}").format(money=money_about(takings, words))
        )
    planned = (want.planned for want in line.wants if want.planned is not None)
    if likely := likely_at(planned, session):
        parts.append(likely)
    if line.over and line.day.settled_at is None:
        parts.append(
            tr("not all entered yet: press A to enter the rest")
            if any(want.sale is not None for want in line.wants)
            else tr("nothing entered yet: press A to enter what was sold")
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
        assert isinstance(model, Table)
        assert isinstance(view, QWidget)
        colours = ink(view)
        over = model.rows[index.row()].over
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
