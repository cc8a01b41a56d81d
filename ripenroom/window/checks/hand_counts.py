"""Fruit by hand feel, counted one squeeze at a time."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.checks.tap_button import TapButton
from ripenroom.window.names import feel_names
from ripenroom.window.plain import set_hint


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
        self.setFocusProxy(self.taps[0])
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
            minus.setAccessibleName(self.tr("One fewer: {what}").format(what=name))
            set_hint(minus, self.tr("One fewer: {what}").format(what=name))
