"""What became of the fruit, by cultivar and by row of trees."""

from collections.abc import Callable, Mapping, Sequence
from operator import attrgetter

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHeaderView,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.fruit_balance import BalanceRow, FruitTally, balance
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.plain import set_margins
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import row_height
from ripenroom.window.widgets.column_widths import ColumnWidth
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.table import RIGHT, Table, TableColumn
from ripenroom.window.widgets.table_view import Choice, TableView
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

    def _table(self, name: str) -> TableView[BalanceRow]:
        view: TableView[BalanceRow] = TableView(name, Table([], self), self, Choice.ROWS)
        view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = view.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setMinimumSectionSize(self.fontMetrics().horizontalAdvance("n") * 5)
        return view

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
        view: TableView[BalanceRow],
        rows: Sequence[BalanceRow],
        names: Mapping[str, str],
        not_noted: str,
    ) -> None:
        crops = self.session.season.crops

        def name(row: BalanceRow) -> str:
            return names.get(row.key or "", not_noted.format(crop=crop_name(crops, row.crop)))

        some_second = any(row.tally.second > 0 for row in rows)
        columns = balance_columns(self.session, name, some_second=some_second)
        view.table.show_rows(rows, columns)
        self._fit(view)

    def _fit(self, view: TableView[BalanceRow]) -> None:
        high = row_height(self.font())
        view.verticalHeader().setDefaultSectionSize(high)
        bar = view.horizontalScrollBar().sizeHint().height()
        view.setFixedHeight(high * max(view.table.rowCount(), 1) + high + bar + 4)
        view.fit_columns(self.viewport().width() - _RIGHT_PX)

    def _notes(self, lines: Sequence[BalanceRow]) -> str:
        said = []
        if any(line.tally.too_little for line in lines):
            said.append(
                tr(
                    "Where fewer than 30 fruit were sold, nothing is said per tree: a single "
                    "market day would change it."
                )
            )
        if any(line.tally.unpriced > 0 for line in lines):
            said.append(tr("+: this much or more, as some prices were not entered."))
        if any(line.key is not None and line.trees is None for line in lines):
            said.append(tr("Enter the number of trees under Rows and cultivars."))
        return " ".join(said)


_RIGHT_PX = 12


def balance_columns(
    session: Session, name: Callable[[BalanceRow], str], *, some_second: bool
) -> list[TableColumn[BalanceRow]]:
    """What is said of each cultivar or row of trees; of second grade only if there was any."""

    def counted(heading: str, count: Callable[[FruitTally], float]) -> TableColumn[BalanceRow]:
        return TableColumn(heading, lambda row: session.words.number(count(row.tally)), align=RIGHT)

    def second(row: BalanceRow) -> str:
        return session.words.number(row.tally.second) if some_second else ""

    def sold_per_tree(row: BalanceRow) -> str:
        if row.sold_per_tree is None:
            return tr("too few sold") if row.tally.too_little else NEVER
        return session.words.number(row.sold_per_tree, 1)

    def money_per_tree(row: BalanceRow) -> str:
        minor = row.money_per_tree_minor
        return NEVER if minor is None else session.words.money(round(minor))

    return [
        TableColumn(tr("fruit of"), name, width=ColumnWidth(takes_rest=True)),
        counted(tr("picked"), attrgetter("picked")),
        counted(tr("sold"), attrgetter("sold")),
        TableColumn(tr("second"), second, align=RIGHT, width=ColumnWidth(may_be_unused=True)),
        counted(tr("thrown"), attrgetter("thrown")),
        counted(tr("left"), attrgetter("left")),
        TableColumn(tr("money"), lambda row: money_words(row.tally, session.words), align=RIGHT),
        TableColumn(tr("sold per tree"), sold_per_tree, align=RIGHT),
        TableColumn(tr("money per tree"), money_per_tree, align=RIGHT),
    ]
