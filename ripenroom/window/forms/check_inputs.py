"""Inputs of a check: large buttons to count a squeeze with, and gauge readings typed in a row."""

from functools import partial

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import ENTER_IS_FOR_THE_FORM
from ripenroom.window.forms.firmness_inputs import ReadingsInput
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.widgets.layouts import WrappedLabel, begin_with
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import feel_names


class TapButton(QPushButton):
    """Shows what is counted, how many there are, and the key that counts too."""

    def __init__(self, key: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoDefault(False)
        # One of these has the keyboard from the start: whoever counted with the keys 1 to 5 means
        # to save with Enter, and must not add a fruit that nobody squeezed.
        self.setProperty(ENTER_IS_FOR_THE_FORM, True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._key = key
        self._name = WrappedLabel(parent=self)
        self._number = PlainLabel("0", self)
        self._number.setObjectName("tapNumber")
        hint = PlainLabel(tr("key {key}").format(key=key), self)
        hint.setObjectName("faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 6)
        layout.setSpacing(0)
        for label in (self._name, self._number, hint):
            label.setAlignment(Qt.AlignmentFlag.AlignCenter)
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            layout.addWidget(label, 1 if label is self._number else 0)
        self._fit()

    def show_count(self, what: str, count: int) -> None:
        """Say what is counted and how many there are."""
        self._name.setText(what)
        self._number.setText(str(count))
        self.setAccessibleName(tr("{what}: {count}").format(what=what, count=count))
        set_hint(self, tr("One more fruit: {what} (key {key})").format(what=what, key=self._key))

    def changeEvent(self, event: QEvent) -> None:
        """Grow with the text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def _fit(self) -> None:
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * 2.2)
        self._number.setFont(font)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """As large as a thumb in a glove; the labels inside say nothing of that."""
        line = self.fontMetrics().height()
        return QSize(line * 5, line * 7)

    def hasHeightForWidth(self) -> bool:
        """No: the labels wrap, but the button is as high as a thumb wants it."""
        return False

    def minimumSizeHint(self) -> QSize:
        """Room for the labels."""
        line = self.fontMetrics().height()
        return QSize(line * 4, line * 6)


class HandCounts(QWidget):
    """Five large buttons from hardest to softest, keys 1 to 5, each with a minus below it."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._squeezed: list[int] = []  # which feel, in the order of the squeezes
        self._names: tuple[str, ...] = feel_names()
        self.taps: list[TapButton] = []
        self.minuses: list[QPushButton] = []
        self._keys: list[QShortcut] = []
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        for feel in range(len(FEELS)):
            key = str(feel + 1)
            tap = TapButton(key, self)
            tap.clicked.connect(partial(self._add, feel))
            minus = QPushButton("−", self)
            minus.setAutoDefault(False)
            minus.clicked.connect(partial(self._remove, feel))
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.activated.connect(partial(self._add, feel))
            self._keys.append(shortcut)
            self.taps.append(tap)
            self.minuses.append(minus)
            grid.addWidget(tap, 0, feel)
            grid.addWidget(minus, 1, feel)
            grid.setColumnStretch(feel, 1)
        grid.setRowStretch(0, 1)
        begin_with(self, self.taps[0])
        self._show()

    def show_crop(self, crop: CropProfile | None) -> None:
        """Name the buttons as the crop's fruit are told apart."""
        self._names = feel_names(crop)
        self._show()

    @property
    def number(self) -> int:
        """How many fruit were squeezed."""
        return len(self._squeezed)

    def counts(self) -> FeelCounts | None:
        """Fruit of each feel; None before the first."""
        if not self._squeezed:
            return None
        a, b, c, d, e = (self._squeezed.count(feel) for feel in range(len(FEELS)))
        return a, b, c, d, e

    def set_counts(self, counts: FeelCounts | None) -> None:
        """Show counts that were noted before."""
        self._squeezed = [feel for feel, n in enumerate(counts or ()) for _ in range(n)]
        self._show()

    def take_back(self) -> None:
        """Forget the latest squeeze."""
        if self._squeezed:
            self._squeezed.pop()
            self._tell()

    def use_keys(self, used: bool) -> None:
        """Let keys 1 to 5 count, or not while something else is typed."""
        for shortcut in self._keys:
            shortcut.setEnabled(used)

    def _add(self, feel: int, _checked: bool = False) -> None:
        self._squeezed.append(feel)
        self._tell()

    def _remove(self, feel: int, _checked: bool = False) -> None:
        latest = len(self._squeezed) - 1 - self._squeezed[::-1].index(feel)
        del self._squeezed[latest]
        self._tell()

    def _tell(self) -> None:
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for feel, (tap, minus) in enumerate(zip(self.taps, self.minuses, strict=True)):
            name, count = self._names[feel], self._squeezed.count(feel)
            tap.show_count(name, count)
            minus.setEnabled(count > 0)
            minus.setAccessibleName(tr("One fewer: {what}").format(what=name))
            set_hint(minus, tr("One fewer: {what}").format(what=name))


class GaugeReadings(QWidget):
    """A line of readings: Enter ends a reading, and once more hands the check in."""

    changed = Signal()

    def __init__(self, words: Formats, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self.input = ReadingsInput(words, self)
        self.input.field.label.setText(tr("&Readings, Enter after each"))
        self.input.line.installEventFilter(self)
        self._told = WrappedLabel(parent=self)
        self._told.setObjectName("faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.input.field)
        layout.addWidget(self._told)
        layout.addStretch(1)
        begin_with(self, self.input.line)
        self.input.changed.connect(self._tell)
        self._tell()

    @property
    def number(self) -> int:
        """How many readings there are; what cannot be read as a number does not count."""
        return len(self._typed())

    def show_gauge(self, like: Check | None, usual_probe_mm: float) -> None:
        """Begin with the gauge of an earlier check, or with the crop's usual probe."""
        if like is not None:
            self.input.unit_choice.choose(like.reading_unit)
        probe = like.probe_mm if like is not None and like.probe_mm else usual_probe_mm
        self.input.probe.setText(self._words.figures(probe, 6))

    def set_readings(self, readings: tuple[float, ...]) -> None:
        """Show readings that were noted before."""
        shown = (self._words.figures(reading, 12) for reading in readings)
        self.set_text(" ".join(shown))

    def set_text(self, text: str) -> None:
        """Show a typed line."""
        self.input.line.setText(text)
        self._tell()

    def take_back(self) -> None:
        """Forget the latest reading."""
        self.set_text(" ".join([*self.input.line.text().split()[:-1], ""]))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter after a number begins the next one instead of handing the check in."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            text = self.input.line.text()
            enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            if enter and text.strip() and not text.endswith(" "):
                self.set_text(f"{text} ")
                return True
        return super().eventFilter(watched, event)

    def _typed(self) -> tuple[float, ...]:
        try:
            return self.input.values()
        except Refusal:
            return ()

    def _tell(self) -> None:
        typed = self._typed()
        if typed:
            mean = self._words.number(sum(typed) / len(typed), 1)
            text = tr_n(
                "{n} reading: {mean} {unit}. Enter again saves it.",
                "{n} readings, {mean} {unit} on average. Enter again saves them.",
                len(typed),
            )
            unit = self.input.unit_choice.currentText()
            self._told.setText(text.format(mean=mean, unit=unit))
        else:
            self._told.setText(tr("No readings yet."))
        self.changed.emit()
