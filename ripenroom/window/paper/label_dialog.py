"""Asks which label sheet, how many labels for each batch, and from which label on."""

from collections.abc import Sequence

from PySide6.QtCore import QSettings
from PySide6.QtGui import QPagedPaintDevice
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts import crates_of
from ripenroom.texts import tr, tr_in
from ripenroom.window.paper.labels import SHEET_OF, SHEETS, LabelSheet, print_labels, repeated
from ripenroom.window.paper.output import choose_pdf, show_preview, write_pdf
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import CountBox, RecordChoice

_MOST_LABELS = 999
_KEY = "labels/sheet"


class LabelDialog(FormDialog):
    """Prints a label for each crate of some batches; nothing in the season changes."""

    def __init__(
        self, session: Session, batch_ids: Sequence[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Crate labels"))
        self.action_button.setText(tr("&Preview and print…"))
        self.pdf_button = QPushButton(tr("Save as P&DF…"), self)
        self.pdf_button.setAutoDefault(False)
        self.pdf_button.clicked.connect(self._save)
        self.buttons.insertWidget(1, self.pdf_button)
        self.setTabOrder(self.action_button, self.pdf_button)
        self.sheet = RecordChoice(24)
        self.sheet.set_choices([(sheet.key, self._sheet_words(sheet)) for sheet in SHEETS])
        self.sheet.choose(self._usual_sheet(session.settings))
        self.add("sheet", Field(tr("&Sheet of labels"), self.sheet))
        self.first = CountBox()
        self.first.setRange(1, _MOST_LABELS)
        self.add(
            "first",
            Field(
                tr("&First free label of the sheet"),
                self.first,
                hint=tr("Counted along the rows, for a sheet already started"),
            ),
        )
        self._counts: list[tuple[str, CountBox]] = []
        for batch_id in batch_ids:
            self._add_batch(batch_id)
        self.sheet.currentIndexChanged.connect(self._limit)
        self._limit()
        self.fit()

    def loses_typed(self) -> bool:
        """Nothing of it would be kept."""
        return False

    def _add_batch(self, batch_id: str) -> None:
        batch = self.session.season.book.batches[batch_id]
        count = CountBox()
        count.setRange(0, _MOST_LABELS)
        count.setValue(self._crates(batch_id))
        self._counts.append((batch_id, count))
        self.add(f"count {batch_id}", Field(tr("Labels for {code}").format(code=batch.code), count))

    def _crates(self, batch_id: str) -> int:
        """How many crates the batch fills."""
        projection = self.session.projection()
        line = projection.line_of.get(batch_id)
        if line is None:
            return 1
        crop = self.session.season.crops[self.session.season.book.batches[batch_id].crop]
        return max(1, crates_of(float(projection.left[line]), crop.fruit_per_crate.value))

    def _sheet_words(self, sheet: LabelSheet) -> str:
        words = self.session.words
        letter = sheet.key.startswith("letter")
        paper = tr_in("paper", "Letter") if letter else "A4"
        if letter:
            width, height = (f"{words.number(mm / 25.4, 2)} in" for mm in self._size(sheet))
        else:
            width, height = (f"{words.number(mm, 1)} mm" for mm in self._size(sheet))
        return tr("{paper}, {count} labels of {width} × {height}").format(
            paper=paper, count=sheet.labels, width=width, height=height
        )

    @staticmethod
    def _size(sheet: LabelSheet) -> tuple[float, float]:
        return sheet.width_mm, sheet.height_mm

    def _usual_sheet(self, settings: QSettings) -> str:
        kept = str(settings.value(_KEY, ""))
        us = self.session.season.book.season.units == "us"
        return kept if kept in SHEET_OF else ("letter-10" if us else "a4-14")

    def chosen_sheet(self) -> LabelSheet:
        """The sheet that labels are printed on."""
        return SHEET_OF[str(self.sheet.value())]

    def _limit(self) -> None:
        self.first.setMaximum(self.chosen_sheet().labels)

    def paint(self, device: QPagedPaintDevice) -> int:
        """Paint the labels that are asked for; how many sheets they take."""
        crates = [(batch_id, count.value()) for batch_id, count in self._counts]
        labels = list(repeated(self.session, crates))
        return print_labels(
            device, labels, self.chosen_sheet(), self.first.value() - 1, self.font()
        )

    def carry_out(self) -> None:
        """Show the sheets as they will be printed."""
        self._require_labels()
        show_preview(self.session, self.paint, self.chosen_sheet().paper, self)

    def _save(self) -> None:
        self.board.clear()
        if not self.session.run("", self._require_labels, self.board.show):
            return
        path = choose_pdf(self.session, self, tr("crate labels"))
        if path is not None:
            self.session.run(
                tr("Saved in {file}").format(file=path.name),
                lambda: write_pdf(self.paint, self.chosen_sheet().paper, path),
                self.board.show,
            )

    def _require_labels(self) -> None:
        self.session.settings.setValue(_KEY, self.chosen_sheet().key)
        if not any(count.value() for _, count in self._counts):
            name = f"count {self._counts[0][0]}" if self._counts else ""
            raise Refusal(name, "Ask for at least one label.")
