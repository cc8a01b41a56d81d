"""Writing down a check in seconds, and going on to the next batch."""

from dataclasses import replace

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.check import Check
from ripenroom.records.check_entry import CheckEntry
from ripenroom.season.learning.learned import CheckKind
from ripenroom.window.batch.facts import next_date
from ripenroom.window.checks.draft import Draft
from ripenroom.window.checks.gauge_readings import GaugeReadings
from ripenroom.window.checks.hand_counts import HandCounts
from ripenroom.window.checks.words import check_words, design_words
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.forms.when import WhenEdit
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.names import crop_name
from ripenroom.window.session import Session


class CheckDialog(FormDialog):
    """One batch at a time: five large buttons, or readings; and which batch to squeeze next.

    With ``check_id`` that check is shown to be mended. What was counted is kept when the dialog is
    left without writing it down, and is there again when the batch is checked next.
    """

    def __init__(
        self,
        session: Session,
        batch_id: str,
        check_id: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        self._mended = session.season.book.checks.get(check_id or "")
        self._seen: list[str] = []
        self._then: str | None = None
        self._written = ""
        self.kind = CheckKind.FEEL
        self.batch_id = batch_id
        self._title = QLabel(self)
        self._title.setObjectName("pageTitle")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._title.setWordWrap(True)
        self._about, self._done, self.aim = (WrappedLabel(parent=self) for _ in range(3))
        self._done.setObjectName("faint")
        self.hand = HandCounts(self)
        self.gauge = GaugeReadings(session.words, self)
        self.by_hand = self._kind_button(self.tr("By &hand"))
        self.by_gauge = self._kind_button(self.tr("By &gauge"))
        self.take_back_button = QPushButton(self.tr("&Take back the last"), self)
        self.take_back_button.setAutoDefault(False)
        self.take_back_button.setToolTip(self.tr("Key: Backspace"))
        self.when = WhenEdit(session)
        self.note = TypedLine(14)
        self.next_button = QPushButton(self)
        self.next_button.setAutoDefault(False)
        self._lay_out()
        self._connect()
        self._load(batch_id)
        if self._mended is not None:
            self._show_check(self._mended)
        line = self.fontMetrics().height()
        self.resize(QSize(47 * line, 38 * line).boundedTo(room_for(self)))

    def _kind_button(self, text: str) -> QToolButton:
        button = QToolButton(self)
        button.setText(text)
        button.setCheckable(True)
        button.setAutoExclusive(True)
        return button

    def _lay_out(self) -> None:
        kinds = QHBoxLayout()
        kinds.setSpacing(6)
        kinds.addWidget(self.by_hand)
        kinds.addWidget(self.by_gauge)
        kinds.addStretch(1)
        kinds.addWidget(self.take_back_button)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.hand)
        self._stack.addWidget(self.gauge)
        self._counts = Field(self.tr("Fruit squeezed"), self._stack)
        self._counts.label.hide()
        # The buttons take all the height there is, where a field would leave it empty.
        room = self._counts.layout()
        assert isinstance(room, QVBoxLayout)
        room.setStretch(0, 1)
        room.setStretch(2, 0)
        for name in ("feel_counts", "readings", "reading_unit", "probe_mm", "surprise"):
            self.board.fields[name] = self._counts
        foot = QHBoxLayout()
        foot.setSpacing(12)
        for name, field in (
            ("at", Field(self.tr("&When"), self.when)),
            ("note", Field(self.tr("N&ote"), self.note)),
        ):
            self.board.fields[name] = field
            foot.addWidget(field, 1)
        for part in (self._title, self._about, self.aim):
            self.body.addWidget(part)
        self.body.addLayout(kinds)
        self.body.addWidget(self._counts, 1)
        self.body.addLayout(foot)
        self.body.addWidget(self._done)
        self.buttons.insertWidget(0, self.next_button)

    def _connect(self) -> None:
        self.action_button.clicked.disconnect(self.accept)
        self.action_button.clicked.connect(self._finish)
        self.next_button.clicked.connect(self._go_on)
        self.by_hand.clicked.connect(lambda: self._use(CheckKind.FEEL))
        self.by_gauge.clicked.connect(lambda: self._use(CheckKind.READINGS))
        self.take_back_button.clicked.connect(self._take_back)
        back = QShortcut(QKeySequence(Qt.Key.Key_Backspace), self)
        back.activated.connect(self._take_back)
        for part in (self.hand, self.gauge):
            part.changed.connect(self._on_counted)
        offers = self.gauge.input
        words = self.session.words
        self.board.offer(
            "readings",
            lambda unit: self.tr("Read it as {unit}").format(unit=unit),
            offers.unit_choice.choose,
        )
        self.board.offer(
            "probe_mm",
            lambda mm: self.tr("It is {mm} mm").format(mm=mm),
            lambda mm: offers.probe.setText(words.locale.toString(float(str(mm)), "g", 6)),
        )

    # One batch

    def _load(self, batch_id: str) -> None:
        """Begin with a batch."""
        self.batch_id = batch_id
        self._seen.append(batch_id)
        season = self.session.season
        batch = season.book.batches[batch_id]
        profile = season.crops.get(batch.crop)
        cultivar = season.book.cultivars.get(batch.cultivar_id or "")
        place = season.place_of(batch_id)
        code = batch.code
        mending = self._mended is not None
        title = self.tr("Mend a check of {code}") if mending else self.tr("Check {code}")
        self.setWindowTitle(title.format(code=code))
        self._title.setText(title.format(code=code))
        about = [cultivar.name if cultivar else crop_name(season.crops, batch.crop)]
        about += [place.name] if place else []
        about.append(self.tr("{n} left").format(n=season.checks.left(batch_id)))
        about.append(next_date(self.session, batch_id))
        self._about.setText(" · ".join(part for part in about if part))
        by_eye = profile is not None and profile.judged_by == "colour"
        self.by_hand.setText(self.tr("By &eye") if by_eye else self.tr("By &hand"))
        self.by_gauge.setVisible(not by_eye)
        self.hand.show_crop(profile)
        gauged = self._latest_gauged()
        self.gauge.show_gauge(gauged, profile.firmness.probe_mm if profile else 8.0)
        self.action_button.setText(self.tr("Save") if mending else self.tr("Write it down"))
        self._next = self._next_batch()
        self.next_button.setVisible(not mending)
        self._designs = {kind: season.checks.design(batch_id, kind) for kind in CheckKind}
        self.when.follow_now()
        self.note.clear()
        self.hand.set_counts(None)
        self.gauge.set_text("")
        draft = None if mending else Draft.kept(self.session.settings, season.book.season.id)
        if draft is not None and draft.batch_id == batch_id:
            self.hand.set_counts(draft.feel_counts)
            self.gauge.set_text(draft.readings)
            self.note.setText(draft.note)
            self._done.setText(self.tr("Taken up again where you left it."))
        self.next_button.setEnabled(self._next is not None)
        self._use(self._usual_kind(by_eye))
        self.action_button.setEnabled(season.read_only_because is None)
        self.action_button.setToolTip(season.read_only_because or "")

    def _latest_gauged(self) -> Check | None:
        checks = self.session.season.book.checks.values()
        return max((c for c in checks if c.readings), key=lambda c: c.at, default=None)

    def _usual_kind(self, by_eye: bool) -> CheckKind:
        """As the crop was checked last; a batch that was never gauged is felt."""
        if by_eye:
            return CheckKind.FEEL
        if self.gauge.number:
            return CheckKind.READINGS
        book = self.session.season.book
        crop = book.batches[self.batch_id].crop
        same = [c for c in book.checks.values() if book.batches[c.batch_id].crop == crop]
        last = max(same, key=lambda c: c.at, default=None)
        gauged = bool(last.readings if last else book.batches[self.batch_id].readings)
        return CheckKind.READINGS if gauged else CheckKind.FEEL

    def _show_check(self, check: Check) -> None:
        self.when.set_moment(check.at)
        self.note.setText(check.note)
        self.hand.set_counts(check.feel_counts)
        if check.readings:
            self.gauge.show_gauge(check, check.probe_mm or 8.0)
            self.gauge.set_readings(check.readings)
        self._use(CheckKind.READINGS if check.readings else CheckKind.FEEL)

    def _use(self, kind: CheckKind) -> None:
        self.kind = kind
        felt = kind is CheckKind.FEEL
        self.by_hand.setChecked(felt)
        self.by_gauge.setChecked(not felt)
        part = self.hand if felt else self.gauge
        self._stack.setCurrentWidget(part)
        self.hand.use_keys(felt)
        self.board.clear()
        part.setFocus(Qt.FocusReason.OtherFocusReason)
        self._show_number()

    def _on_counted(self) -> None:
        self.board.clear()
        self.board.forget_answers()
        self._show_number()

    def _show_number(self) -> None:
        part = self.hand if self.kind is CheckKind.FEEL else self.gauge
        self.aim.setText(design_words(self._designs[self.kind], part.number, self.session.words))
        self.take_back_button.setEnabled(part.number > 0)
        self.next_button.setText(self._next_words(part.number > 0))

    def _take_back(self) -> None:
        (self.hand if self.kind is CheckKind.FEEL else self.gauge).take_back()

    # Writing it down, going on

    def _next_batch(self) -> str | None:
        """What the plan gains most from, else what is least sure."""
        season = self.session.season
        seen = {*self._seen, *season.checks.checked_lately()}
        worth = [advice.batch_id for advice in self.session.plans.check_next]
        worth += season.checks.worth_checking()
        left = (i for i in worth if i not in seen and i in season.book.batches)
        return next((batch_id for batch_id in left if season.checks.left(batch_id) > 0), None)

    def _next_words(self, counted: bool) -> str:
        if self._next is None:
            return self.tr("No other batch needs a check")
        code = self.session.season.book.batches[self._next].code
        if counted:
            return self.tr("Write it down, &next: {code}").format(code=code)
        return self.tr("&Next: {code}").format(code=code)

    def _finish(self) -> None:
        self._then = None
        self.accept()

    def _go_on(self) -> None:
        self._then = self._next
        if (self.hand if self.kind is CheckKind.FEEL else self.gauge).number:
            self.accept()
        elif self._next is not None:
            self._load(self._next)

    def accept(self) -> None:
        """Write the check down; then close, or go on to the next batch."""
        self.board.clear()
        if not self.session.run("", self.carry_out, self.board.show):
            return
        self.board.forget_answers()
        self.session.say(self.done_text())
        if self._then is None:
            self.done(CheckDialog.DialogCode.Accepted)
        else:
            self._done.setText(self.done_text())
            self._load(self._then)

    def reject(self) -> None:
        """Close; what was counted is kept."""
        if self._mended is None:
            draft = Draft(
                self.batch_id, self.hand.counts(), self.gauge.input.line.text(), self.note.text()
            )
            draft.keep(self.session.settings, self.session.season.book.season.id)
        super().reject()

    def done_text(self) -> str:
        """What was written down last."""
        return self._written

    def _read(self) -> Check:
        felt = self.kind is CheckKind.FEEL
        return Check(
            id="",
            batch_id=self.batch_id,
            at=self.when.moment(),
            feel_counts=self.hand.counts() if felt else None,
            readings=() if felt else self.gauge.input.values(),
            reading_unit=None if felt else self.gauge.input.unit(),
            probe_mm=None if felt else self.gauge.input.probe_mm(),
            note=self.note.text().strip(),
        )

    def carry_out(self) -> None:
        """Write down, or mend, what was counted."""
        season, answered = self.session.season, self.board.answered
        if self._mended is not None:
            check = replace(self._read(), id=self._mended.id, counted=self._mended.counted)
            season.checks.change(check, answered)
        else:
            read = self._read()
            check = season.checks.add(
                CheckEntry(
                    batch_id=read.batch_id,
                    at=read.at,
                    feel_counts=read.feel_counts,
                    readings=read.readings,
                    reading_unit=read.reading_unit,
                    probe_mm=read.probe_mm,
                    note=read.note,
                    answered=answered,
                )
            )
            Draft.forget(self.session.settings, season.book.season.id)
        batch = season.book.batches[self.batch_id]
        found = check_words(check, season.crops.get(batch.crop), self.session.words)
        self._written = self.tr("{code}: {found} written down.").format(
            code=batch.code, found=found
        )
