"""The tab of what is published about a crop: every statement, and how the program meets it."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QHeaderView,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.statement import Statement
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season.projection import Ranged
from ripenroom.season.published import WrittenCrop, said
from ripenroom.texts import tr, tr_n
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.crops.figure_list import ToldArea
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import figure_groups
from ripenroom.window.crops.published.claims import Claim, ClaimGroup, claim_groups
from ripenroom.window.crops.published.picture import SignLegend
from ripenroom.window.crops.published.statement_words import known_figures
from ripenroom.window.crops.published.table import (
    ClaimRows,
    Column,
    claim_columns,
    claim_rows,
    is_heading,
    row_height,
)
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import TableView

_MOST_KEPT = 40


class Answers(QObject):
    """Keeps what was worked out by the text of the crop.

    One crop is worked out at a time: whoever walks through the list of crops waits for the last
    only. ``came`` follows when something was worked out, of whatever crop.
    """

    came = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._kept: dict[str, Ranged | None] = {}
        self._task: BackgroundTask[Ranged] | None = None
        self._text = ""

    def of(self, key: str, text: str) -> Ranged | None:
        """What is said of the crop's shipped statements, in their order; None while it is not
        known: then it is begun, unless another crop is at work or it has failed."""
        if text not in self._kept and self._task is None:
            statements = [(key, one) for one in shipped_statements(key)]
            self._text = text
            self._task = self._session.tasks.run(
                lambda _cancel, _tell: said({key: WrittenCrop.of_text(text)}, statements)
            )
            self._task.ended.connect(self._take)
        return self._kept.get(text)

    def failed(self, text: str) -> bool:
        """Whether it was tried in vain."""
        return text in self._kept and self._kept[text] is None

    def _take(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        task.report_error()
        if len(self._kept) >= _MOST_KEPT:
            del self._kept[next(iter(self._kept))]
        self._kept[self._text] = task.result
        self.came.emit()


_WIDE_LETTERS = 80
"""From so many letters on there is room for numbers beside the picture."""

_LEAST_LINES = 6
"""So many lines of text the table is high: a heading and a statement."""

_LEGEND_LINES = 14
"""With so many lines of text there is room for the legend too."""

_CASE_SHARES = (0.44, 0.34)
_NUMBERS_SHARE = 0.24
"""Of the width: for the cases without and with numbers, and for these."""


@dataclass(frozen=True, slots=True)
class _Shown:
    """What the tab is of: a crop as it is written, and how its numbers are read."""

    key: str
    text: str
    force: str
    temperature_unit: str


class PublishedView(QWidget):
    """A line that counts, the table, and all of the chosen statement below it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._answers = Answers(session, self)
        self._answers.came.connect(self._show)
        self._shown: _Shown | None = None
        self._drawn: _Shown | None = None
        self._units: Units | None = None
        self.groups: list[ClaimGroup] = []
        self.count = WrappedLabel(parent=self)
        self.only_missed = QCheckBox(tr("Only &those missed"), self)
        self.only_missed.toggled.connect(self._fill)
        self.legend = SignLegend(self)
        self.model = Table(claim_columns(), self, id_of=lambda row: row[1], heads=is_heading)
        self.table = TableView(tr("Published statements"), self.model, self)
        self.table.setItemDelegate(ClaimRows(self.table))
        self.table.setMinimumHeight(_LEAST_LINES * self.fontMetrics().lineSpacing())
        # The headings of the groups carry the axes; more would only take room.
        self.table.horizontalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.table.selectionModel().currentRowChanged.connect(self._tell)
        self.told = ToldArea(tr("What was published, in full"), self)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(self.count, 1)
        head.addWidget(self.only_missed)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 6, 0, 0)
        layout.setSpacing(6)
        layout.addLayout(head)
        layout.addWidget(self.legend)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.told)
        layout.addStretch(0)  # what is said instead of a table stands at the top
        self._show_parts(False)

    def show_crop(self, key: str, units: Units) -> None:
        """Show what is published about a crop; what the program says comes a moment later."""
        season = self._session.season
        text = season.crop_text(key)
        self._units = units
        self._shown = _Shown(key, text, units.force, units.words.temperature_unit)
        if self._shown != self._drawn:
            self._show()

    def _show(self) -> None:
        """Show the crop that is wanted now, or that it is being worked out."""
        shown, crop = self._shown, self._crop()
        if shown is None or crop is None or self._units is None:
            return
        statements = shipped_statements(shown.key)
        nothing = self._why_nothing(crop, statements)
        if nothing:
            self._say(nothing)
            self._drawn = shown
            return
        said = self._answers.of(shown.key, shown.text)
        if said is None:
            self._drawn = None
            self._say(
                tr("This could not be worked out.")
                if self._answers.failed(shown.text)
                else tr("Working out what the program says…")
            )
            return
        document = CropDocument(shown.text)
        known = known_figures(figure_groups(document, crop, self._units))
        self.groups = claim_groups(crop, statements, said, self._units, known)
        self._drawn = shown
        self._show_parts(True)
        self.count.setText(self._count_words(crop, statements))
        self._fill()

    def _crop(self) -> CropProfile | None:
        return self._session.season.crops.get(self._shown.key) if self._shown else None

    def _why_nothing(self, crop: CropProfile, statements: Sequence[Statement]) -> str:
        """Why there is nothing to show; empty where there is."""
        if not statements:
            return tr("The program has no published statements about this crop.")
        if shipped_profiles()[crop.key].judged_by != crop.judged_by:
            return tr(
                "Your figures judge this crop in another way than what is published, so the two "
                "cannot be compared."
            )
        return ""

    def _say(self, text: str) -> None:
        """Words instead of the table."""
        self.groups = []
        self._fill()
        self._show_parts(False)
        self.count.setText(text)

    def _show_parts(self, shown: bool) -> None:
        for part in (self.only_missed, self.legend, self.table, self.told):
            part.setVisible(shown)

    def _count_words(self, crop: CropProfile, statements: Sequence[Statement]) -> str:
        """How many there are, and how many are met: with the figures, which were inferred from all
        of them, and by figures that did not know the statement's source."""
        sources = len({one.source for one in statements})
        met = sum(not claim.missed for group in self.groups for claim in group.claims)
        many = tr_n("{n} statement", "{n} statements", len(statements))
        text = tr_n(
            "{statements} from {n} source; {met} agree with the range shown.",
            "{statements} from {n} sources; {met} agree with the range shown.",
            sources,
        ).format(statements=many, met=met)
        found = crop.left_out
        if found is not None and found.sources > 1:
            # Statements about figures are no cases, so these may be fewer.
            text += " " + tr(
                "With each source left out in turn, {inside} of {cases} would agree."
            ).format(inside=found.in_range, cases=found.statements)
        return text

    def _fill(self) -> None:
        """Show the rows that are wanted; the chosen statement stays so if it is among them."""
        kept, only_missed = self.claim(), self.only_missed.isChecked()
        groups = [group.missed for group in self.groups] if only_missed else self.groups
        self.model.show_rows(claim_rows(groups))
        self._fit()
        if self.claim() != kept:
            self.table.choose(self.model.first(lambda _row: True))
            self.table.scrollToTop()
        self.table.scrollTo(self.table.currentIndex())
        self._tell()

    def claim(self) -> Claim | None:
        """The chosen statement."""
        row = self.table.current()
        return None if row is None else row[1]

    def _tell(self) -> None:
        claim = self.claim()
        self.told.label.setText(claim.told if claim else "")
        self.told.setAccessibleDescription(self.told.label.text())
        self.told.verticalScrollBar().setValue(0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the columns what they need of another width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Columns by the width that there is, and rows as high as their words."""
        # The table itself is resized only after this.
        room = self.width() - self.table.verticalScrollBar().sizeHint().width() - 4
        wide = room > self.fontMetrics().horizontalAdvance("n") * _WIDE_LETTERS
        numbers_px = round(room * _NUMBERS_SHARE) if wide else 0
        case_px = round(room * _CASE_SHARES[wide])
        self.table.setColumnHidden(Column.NUMBERS, not wide)
        self.table.setColumnWidth(Column.CASE, case_px)
        self.table.setColumnWidth(Column.PICTURE, room - case_px - numbers_px)
        if wide:
            self.table.setColumnWidth(Column.NUMBERS, numbers_px)
        for row in range(self.model.rowCount()):
            self.table.setRowHeight(row, row_height(self.model, row, case_px, self.table))
        self.told.setMaximumHeight(self.told.sizeHint().height())
        high = self.height() > self.fontMetrics().lineSpacing() * _LEGEND_LINES
        self.legend.setVisible(high and not self.table.isHidden())
