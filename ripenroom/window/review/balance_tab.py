"""What became of the fruit, by cultivar and by row of trees."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QScrollArea,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.fruit_balance import BalanceRow, balance
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.plain import set_margins
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import target_height
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import NEVER
from ripenroom.wording.names import crop_name
from ripenroom.wording.review import balance_words, earning_words, money_words


class BalanceTab(QScrollArea):
    """A sentence, then two tables; what is too little to compare says so in words."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("What became of the fruit"))
        inner = QWidget(self)
        self.summary = WrappedLabel(parent=inner)
        self.earning = WrappedLabel(parent=inner)
        self.cultivars = self._table(tr("By cultivar"))
        self.rows = self._table(tr("By row of trees"))
        self.note = WrappedLabel(parent=inner)
        self.note.setObjectName("faint")
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 8, _RIGHT_PX, 8)
        layout.setSpacing(10)
        layout.addWidget(self.summary)
        layout.addWidget(self.earning)
        for table in (self.cultivars, self.rows):
            heading = WrappedLabel(table.accessibleName(), inner)
            heading.setObjectName("sectionTitle")
            layout.addWidget(heading)
            layout.addWidget(table)
        layout.addWidget(self.note)
        layout.addStretch(1)
        self.setWidget(inner)

    def _table(self, name: str) -> QTableWidget:
        table = QTableWidget(self)
        table.setAccessibleName(name)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setTabKeyNavigation(False)
        table.setShowGrid(False)
        table.verticalHeader().hide()
        table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        headings = [
            tr("fruit of"),
            tr("picked"),
            tr("sold"),
            tr("second"),
            tr("thrown"),
            tr("left"),
            tr("money"),
            tr("sold per tree"),
            tr("money per tree"),
        ]
        table.setColumnCount(len(headings))
        header = table.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setMinimumSectionSize(self.fontMetrics().horizontalAdvance("n") * 5)
        for column, text in enumerate(headings):
            item = QTableWidgetItem(text)
            item.setTextAlignment(_RIGHT if column else _LEFT)
            table.setHorizontalHeaderItem(column, item)
        return table

    def changeEvent(self, event: QEvent) -> None:
        """Higher lines for larger text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            for table in (self.cultivars, self.rows):
                self._fit(table)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Names take the room that there is."""
        super().resizeEvent(event)
        for table in (self.cultivars, self.rows):
            self._fit(table)

    def touched_by(self, changed: Changed) -> bool:
        """Fruit, what was brought and sold, and what crops and money are called."""
        return bool(changed.batches or changed.market_days or changed.figures)

    def refresh(self) -> None:
        """Count anew."""
        season, words = self.session.season, self.session.words
        found = balance(season.book, season.crops)
        self.summary.setText(balance_words(found.whole, words))
        self._fill(
            self.cultivars,
            found.cultivars,
            {key: cultivar.name for key, cultivar in season.book.cultivars.items()},
            tr("{crop}, no cultivar entered"),
        )
        self._fill(
            self.rows,
            found.rows,
            {key: row.name for key, row in season.book.rows.items()},
            tr("{crop}, no row entered"),
        )
        rows = {key: row.name for key, row in season.book.rows.items()}
        self.earning.setText(earning_words(found.rows, rows, words))
        self.earning.setVisible(found.whole.picked > 0)
        self.note.setText(self._notes((*found.cultivars, *found.rows)))

    def _fill(
        self,
        table: QTableWidget,
        lines: Sequence[BalanceRow],
        names: Mapping[str, str],
        not_noted: str,
    ) -> None:
        words, crops = self.session.words, self.session.season.crops
        table.setRowCount(len(lines))
        for row, line in enumerate(lines):
            name = names.get(line.key or "", not_noted.format(crop=crop_name(crops, line.crop)))
            tally = line.tally
            sold_per_tree, money_per_tree = line.sold_per_tree, line.money_per_tree_minor
            texts = [name]
            texts += [
                words.number(value)
                for value in (tally.picked, tally.sold, tally.second, tally.thrown, tally.left)
            ]
            texts.append(money_words(tally, words))
            few = tr("too few sold") if tally.too_little else NEVER
            texts.append(few if sold_per_tree is None else words.number(sold_per_tree, 1))
            texts.append(NEVER if money_per_tree is None else words.money(round(money_per_tree)))
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                item.setTextAlignment(_RIGHT if column else _LEFT)
                table.setItem(row, column, item)
        table.setColumnHidden(_SECOND, all(line.tally.second <= 0 for line in lines))
        self._fit(table)

    def _fit(self, table: QTableWidget) -> None:
        header, letter = table.horizontalHeader(), self.fontMetrics().horizontalAdvance("n")
        table.resizeColumnsToContents()
        shown = [n for n in range(table.columnCount()) if not table.isColumnHidden(n)]
        spare = self.viewport().width() - _RIGHT_PX - header.length()
        # Air between the columns where there is room for it; the names take the rest.
        air = min(max(spare, 0) // len(shown), 3 * letter)
        for column in shown[1:]:
            header.resizeSection(column, header.sectionSize(column) + air)
        rest = max(spare, 0) - air * (len(shown) - 1)
        header.resizeSection(0, header.sectionSize(0) + rest)
        high = target_height(self.font())
        table.verticalHeader().setDefaultSectionSize(high)
        bar = table.horizontalScrollBar().sizeHint().height()
        table.setFixedHeight(high * max(table.rowCount(), 1) + high + bar + 4)

    def _notes(self, lines: Sequence[BalanceRow]) -> str:
        said = []
        if any(line.tally.too_little for line in lines):
            said.append(
                tr(
                    "Where fewer than 30 fruit were sold, nothing is said per tree: one market "
                    "day would decide."
                )
            )
        if any(line.tally.unpriced > 0 for line in lines):
            said.append(tr("+: this much or more, as some prices were not entered."))
        if any(line.key is not None and line.trees is None for line in lines):
            said.append(tr("Enter the number of trees under Rows and cultivars."))
        return " ".join(said)


_SECOND = 3
_RIGHT_PX = 12
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
