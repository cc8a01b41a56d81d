"""The panel of one batch, opened from anywhere a batch is shown."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.batch.facts import FactForm, draw_batch
from ripenroom.window.batch.history import CheckHistory, MoveTable, TreatmentTable
from ripenroom.window.dialogs import EnterDialog, ask, room_for
from ripenroom.window.forms import open_check
from ripenroom.window.forms.batch_moves import (
    EthyleneDialog,
    MoveDialog,
    TakeOutDialog,
    opened_by_ethylene,
)
from ripenroom.window.forms.edit_pick import EditPickDialog
from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.batch_facts import expected, written_down


class BatchDialog(EnterDialog):
    """Numbers in words, charts, moves, and what can be done; closes when the batch is gone."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # pyqtgraph is imported with the chart, and only here.
        from ripenroom.window.batch.chart import BatchChart

        self.session = session
        self.batch_id = batch_id
        self._expected, self._written = FactForm(), FactForm()
        self.chart = BatchChart(session, self)
        self.chart.setMinimumSize(240, 300)
        self.moves = MoveTable(session, batch_id, self)
        self.treatments = TreatmentTable(session, batch_id, self)
        self.checks = CheckHistory(session, batch_id, self)
        self.learned = WrappedLabel(parent=self)
        self._code = PlainLabel(parent=self)
        self._code.setObjectName("pageTitle")
        words = QWidget(self)
        left = QVBoxLayout(words)
        set_margins(left, 0, 0, 12, 0)
        left.setSpacing(8)
        left.addWidget(self._code)
        for heading, layout in (
            (tr("Expected (in brackets: four times in five)"), self._expected),
            (tr("Entered"), self._written),
        ):
            left.addWidget(self._heading(heading))
            left.addLayout(layout)
            if layout is self._expected:
                left.addWidget(self.learned)
            left.addSpacing(6)
        left.addWidget(self.checks)
        left.addWidget(self._heading(tr("Moves")))
        left.addWidget(self.moves)
        left.addWidget(self.treatments)
        left.addStretch(1)
        scroll = self._scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(words)
        body = QHBoxLayout()
        body.setSpacing(12)
        # In a narrow window the words come first; a curve can be read at any width.
        body.addWidget(scroll, 5)
        body.addWidget(self.chart, 4)
        layout_of_all = QVBoxLayout(self)
        layout_of_all.setContentsMargins(18, 14, 18, 14)
        layout_of_all.setSpacing(12)
        layout_of_all.addLayout(body, 1)
        layout_of_all.addLayout(self._foot())
        session.changed.connect(self._on_changed)
        session.learning.working_changed.connect(self._show_learned)
        self.refresh()
        line = self.fontMetrics().lineSpacing()
        self.resize(QSize(62 * line, 40 * line).boundedTo(room_for(self)))

    def _heading(self, text: str) -> PlainLabel:
        label = PlainLabel(text, self)
        label.setObjectName("sectionTitle")
        label.setWordWrap(True)
        return label

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setSpacing(6)
        # Where letters are large they take two rows rather than a wider window.
        buttons = FlowLayout(spacing=6)
        foot.addLayout(buttons, 1)
        self.change_buttons: list[QPushButton] = []
        for text, does in (
            (tr("Chec&k…"), self._check),
            (tr("&Move…"), self._move),
            (tr("Eth&ylene…"), self._ethylene),
            (tr("&Sold…"), self._sold),
            (tr("&Discard…"), self._discard),
            (tr("&Edit…"), self._edit),
            (tr("&Labels…"), self._print_labels),
            (tr("Print &card…"), self._print_card),
        ):
            button = QPushButton(text, self)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, act=does: act())
            if does not in (self._print_labels, self._print_card):
                self.change_buttons.append(button)
            if does == self._ethylene:
                self.ethylene_button = button
            buttons.addWidget(button)
        close = QPushButton(tr("Close"), self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        foot.addWidget(close, 0, Qt.AlignmentFlag.AlignBottom)
        return foot

    def _on_changed(self, changed: Changed) -> None:
        # Other batches, and what market days want, are no matter of this one.
        others = Changed(batches=changed.batches, market_days=changed.market_days)
        if self.batch_id in changed.batches or changed != others:
            self.refresh()

    def refresh(self) -> None:
        """Show the batch as it is now."""
        batch = self.session.season.book.batches.get(self.batch_id)
        if batch is None:
            self.reject()
            return
        title = tr("Batch {code}").format(code=batch.code)
        self.setWindowTitle(title)
        self._code.setText(title)
        self._expected.fill(expected(self.session, self.batch_id), self)
        self._written.fill(written_down(self.session, self.batch_id), self)
        self._arrange_facts()
        self.moves.refresh()
        self.treatments.refresh()
        self.checks.refresh()
        self._show_learned()
        self.ethylene_button.setVisible(opened_by_ethylene(self.session.season, batch))
        draw_batch(self.chart, self.session, self.batch_id, by_the_book=bool(self.learned.text()))
        writable = self.session.season.read_only_because is None
        for button in self.change_buttons:
            button.setEnabled(writable)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Facts have as much width as the window gives them."""
        super().resizeEvent(event)
        self._arrange_facts()

    def _arrange_facts(self) -> None:
        letter_px = self.fontMetrics().horizontalAdvance("n")
        for form in (self._expected, self._written):
            form.arrange(self._scroll.width(), letter_px)

    def done(self, result: int) -> None:
        """Close."""
        self.checks.stop()
        super().done(result)

    def _show_learned(self) -> None:
        """What checks of this batch and of its cultivar changed, against the book."""
        season = self.session.season
        batch, learned = season.book.batches[self.batch_id], season.learned
        rate = learned.rate_of(batch.crop, batch.cultivar_id) if learned else None
        said: list[str] = []
        if rate is not None and (rate.checks or rate.taught_by):
            from ripenroom.wording.checks import (
                evidence_words,
                pace_words,
                rate_name,
                taught_words,
            )

            words = self.session.words
            name, pace = rate_name(season, rate), pace_words(rate, words)
            text = tr("{name}: softens {pace}, {evidence}.")
            said.append(text.format(name=name, pace=pace, evidence=evidence_words(rate)))
            taught = season.ask.taught(self.batch_id)
            said += [taught_words(taught, words)] if taught is not None else []
            if self.session.learning.working:
                said = [tr("What your checks say of it is being worked out…")]
        self.learned.setText(" ".join(said))
        self.learned.setVisible(bool(said))

    def _check(self) -> None:
        open_check(self.session, self.batch_id, self)

    def _move(self) -> None:
        ask(MoveDialog(self.session, [self.batch_id], self))

    def _ethylene(self) -> None:
        ask(EthyleneDialog(self.session, self.batch_id, self))

    def _sold(self) -> None:
        ask(TakeOutDialog(self.session, self.batch_id, "sold", self))

    def _discard(self) -> None:
        ask(TakeOutDialog(self.session, self.batch_id, "discarded", self))

    def _edit(self) -> None:
        ask(EditPickDialog(self.session, self.batch_id, self))

    def _print_labels(self) -> None:
        from ripenroom.window.paper.label_dialog import LabelDialog

        ask(LabelDialog(self.session, [self.batch_id], self))

    def _print_card(self) -> None:
        from ripenroom.window.paper.batch_card import print_card
        from ripenroom.window.paper.output import PaperDialog

        code = self.session.season.book.batches[self.batch_id].code
        ask(
            PaperDialog(
                self.session,
                tr("Card of batch {code}").format(code=code),
                code,
                lambda device: print_card(device, self.session, self.batch_id, self.font()),
                self,
            )
        )
