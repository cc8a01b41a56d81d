"""What is counted in a check, by hand or by gauge, and how much more of it is worth while."""

import json
from dataclasses import asdict, dataclass
from datetime import datetime

from PySide6.QtCore import QSettings, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.batch import FeelCounts
from ripenroom.records.check import Check
from ripenroom.season.advice.advice import CheckDesign
from ripenroom.season.learned import CheckKind
from ripenroom.texts import tr
from ripenroom.window.forms.check_inputs import GaugeReadings, HandCounts
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.checks import design_words


@dataclass(frozen=True, slots=True)
class Draft:
    """One check; only the latest is kept, for each season."""

    batch_id: str
    feel_counts: FeelCounts | None
    readings: str
    note: str

    @staticmethod
    def kept(settings: QSettings, season_id: str) -> "Draft | None":
        """The draft that was kept; None if there is none, or none that can be read."""
        try:
            facts = json.loads(str(settings.value(_key(season_id), "")))
            counts = facts["feel_counts"]
            a, b, c, d, e = (int(n) for n in counts or (0, 0, 0, 0, 0))
            return Draft(
                str(facts["batch_id"]),
                (a, b, c, d, e) if counts else None,
                str(facts["readings"]),
                str(facts["note"]),
            )
        except (ValueError, KeyError, TypeError):
            return None

    def keep(self, settings: QSettings, season_id: str) -> None:
        """Keep it, unless it says nothing."""
        if self.feel_counts or self.readings.strip():
            settings.setValue(_key(season_id), json.dumps(asdict(self)))
        else:
            Draft.forget(settings, season_id)

    @staticmethod
    def forget(settings: QSettings, season_id: str) -> None:
        """Drop what was kept: it is written down."""
        settings.remove(_key(season_id))


def _key(season_id: str) -> str:
    return f"check_draft/{season_id}"


_USUAL_PROBE_MM = 8.0


class Counting(QWidget):
    """Five large buttons or a line of readings; one of them is in front.

    ``changed`` follows every fruit, and every change from hand to gauge.
    """

    changed = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.kind = CheckKind.FEEL
        self.aim = WrappedLabel(parent=self)
        self.hand = HandCounts(self)
        self.gauge = GaugeReadings(session.words, self)
        self.by_hand = self._kind_button(tr("By &hand"))
        self.by_gauge = self._kind_button(tr("By &gauge"))
        self.take_back_button = QPushButton(tr("&Take back the last"), self)
        self.take_back_button.setAutoDefault(False)
        set_hint(self.take_back_button, tr("Key: Backspace"))
        kinds = QHBoxLayout()
        kinds.setSpacing(6)
        kinds.addWidget(self.by_hand)
        kinds.addWidget(self.by_gauge)
        kinds.addStretch(1)
        kinds.addWidget(self.take_back_button)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.hand)
        self._stack.addWidget(self.gauge)
        self.field = Field(tr("Fruit squeezed"), self._stack)
        self.field.label.hide()
        # The buttons take all the height there is, where a field would leave it empty.
        room = self.field.layout()
        assert isinstance(room, QVBoxLayout)
        room.setStretch(0, 1)
        room.setStretch(2, 0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(10)
        layout.addWidget(self.aim)
        layout.addLayout(kinds)
        layout.addWidget(self.field, 1)
        self.by_hand.clicked.connect(lambda: self.use(CheckKind.FEEL))
        self.by_gauge.clicked.connect(lambda: self.use(CheckKind.READINGS))
        self.take_back_button.clicked.connect(self.take_back)
        back = QShortcut(QKeySequence(Qt.Key.Key_Backspace), self)
        back.activated.connect(self.take_back)
        self.hand.changed.connect(self.tell)
        self.gauge.changed.connect(self.tell)
        self._designs: dict[CheckKind, CheckDesign | None] = dict.fromkeys(CheckKind)
        self._asked = 0

    def _kind_button(self, text: str) -> QToolButton:
        button = QToolButton(self)
        button.setText(text)
        button.setCheckable(True)
        button.setAutoExclusive(True)
        return button

    def show_on(self, board: RefusalBoard) -> None:
        """Have a form show refusals here, and take the suggestions of questions."""
        for name in ("feel_counts", "readings", "reading_unit", "probe_mm", "surprise"):
            board.fields[name] = self.field
        typed = self.gauge.input
        board.offer(
            "readings",
            lambda unit: tr("Read it as {unit}").format(unit=unit),
            typed.unit_choice.choose,
        )
        board.offer(
            "probe_mm",
            lambda mm: tr("It is {mm} mm").format(mm=self._written(mm)),
            lambda mm: typed.probe.setText(self._written(mm)),
        )

    def _written(self, millimetres: object) -> str:
        return self.session.words.figures(float(str(millimetres)), 6)

    # One batch

    def show_batch(self, batch_id: str, draft: Draft | None) -> None:
        """Begin with a batch, or go on where a draft of it was left."""
        for part in (self.hand, self.gauge):
            part.blockSignals(True)
        season = self.session.season
        batch = season.book.batches[batch_id]
        crop = season.crops.get(batch.crop)
        by_eye = crop is not None and crop.judged_by == "colour"
        self.by_hand.setText(tr("By &eye") if by_eye else tr("By &hand"))
        self.by_gauge.setVisible(not by_eye)
        self.hand.show_crop(crop)
        gauged = (check for check in season.book.checks.values() if check.readings)
        latest = max(gauged, key=lambda check: check.at, default=None)
        self.gauge.show_gauge(latest, crop.firmness.probe_mm if crop else _USUAL_PROBE_MM)
        self._designs = {kind: season.ask.check_design(batch_id, kind) for kind in CheckKind}
        asked = (one.fruit for one in self.session.plans.check_next if one.batch_id == batch_id)
        self._asked = next(asked, 0)
        self.hand.set_counts(draft.feel_counts if draft else None)
        self.gauge.set_text(draft.readings if draft else "")
        for part in (self.hand, self.gauge):
            part.blockSignals(False)
        self.use(CheckKind.FEEL if by_eye else self._usual_kind(batch_id))

    def _usual_kind(self, batch_id: str) -> CheckKind:
        """As the crop was checked last; a crop that was never gauged is felt."""
        if self.gauge.number:
            return CheckKind.READINGS
        book = self.session.season.book
        batch = book.batches[batch_id]
        same = [c for c in book.checks.values() if book.batches[c.batch_id].crop == batch.crop]
        last = max(same, key=lambda check: check.at, default=None)
        gauged = bool(last.readings if last else batch.readings)
        return CheckKind.READINGS if gauged else CheckKind.FEEL

    def show_check(self, check: Check) -> None:
        """Show what was found before."""
        self.hand.set_counts(check.feel_counts)
        if check.readings:
            self.gauge.show_gauge(check, check.probe_mm or _USUAL_PROBE_MM)
            self.gauge.set_readings(check.readings)
        self.use(CheckKind.READINGS if check.readings else CheckKind.FEEL)

    # Counting

    @property
    def _part(self) -> HandCounts | GaugeReadings:
        return self.hand if self.kind is CheckKind.FEEL else self.gauge

    @property
    def number(self) -> int:
        """Fruit looked at so far, by what is in front."""
        return self._part.number

    def use(self, kind: CheckKind) -> None:
        """Bring hand or gauge to the front."""
        self.kind = kind
        felt = kind is CheckKind.FEEL
        self.by_hand.setChecked(felt)
        self.by_gauge.setChecked(not felt)
        self._stack.setCurrentWidget(self._part)
        self.hand.use_keys(felt)
        self._part.setFocus(Qt.FocusReason.OtherFocusReason)
        self.tell()

    def tell(self) -> None:
        """Say how many fruit are worth while, after each of them."""
        design, words = self._designs[self.kind], self.session.words
        self.aim.setText(design_words(design, self.number, words, self._asked))
        self.take_back_button.setEnabled(self.number > 0)
        self.changed.emit()

    def take_back(self) -> None:
        """Forget the latest fruit or reading."""
        self._part.take_back()

    def read(self, batch_id: str, at: datetime, note: str) -> Check:
        """The check as it is counted now, without an id; raises ``Refusal`` for what is typed."""
        felt = self.kind is CheckKind.FEEL
        return Check(
            id="",
            batch_id=batch_id,
            at=at,
            feel_counts=self.hand.counts() if felt else None,
            readings=() if felt else self.gauge.input.values(),
            reading_unit=None if felt else self.gauge.input.unit(),
            probe_mm=None if felt else self.gauge.input.probe_mm(),
            note=note,
        )
