"""The row over the queue: what to show, in which order, and how near."""

from collections.abc import Iterable

from PySide6.QtCore import QSettings, QSize, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QPushButton, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.style_sheet import be_tight
from ripenroom.window.widgets.layouts import FlowLayout

_APART_PX, _TIGHT_PX = 6, 3
"""Between two controls, and where height is scarce."""


class QueueControls(QWidget):
    """Sort and filter; ``changed`` follows every choice. The sort order is kept in the settings."""

    changed = Signal()

    def __init__(self, settings: QSettings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self.sort = self._combo(
            tr("Sort lines by"),
            [
                (tr("Past first"), SortBy.CLOSES),
                (tr("Ready first"), SortBy.OPENS),
                (tr("Picked first"), SortBy.PICKED),
                (tr("By place"), SortBy.PLACE),
                (tr("By crop"), SortBy.CROP),
            ],
        )
        self.shown = self._combo(
            tr("Batches to show"),
            [
                (tr("Any fruit left"), Shown.LEFT),
                (tr("Still good"), Shown.GOOD),
                (tr("Sold out too"), Shown.ALL),
            ],
        )
        self.crop = self._combo(tr("Crop to show"), [(tr("All crops"), None)], True)
        self.place = self._combo(tr("Place to show"), [(tr("All places"), None)], True)
        self.today = self._button(tr("Today"), tr("Back to today (Home)"))
        self.everything = self._button(tr("Season"), tr("Show the whole season (0)"))
        self.nearer = self._button("+", tr("Days wider (+, or Ctrl and wheel)"))
        self.nearer.setAccessibleName(tr("Days wider"))
        self.further = self._button("−", tr("Days narrower (−, or Ctrl and wheel)"))
        self.further.setAccessibleName(tr("Days narrower"))
        self.moves = QCheckBox(tr("All &moves"), self)
        hint = tr("Draw the planned moves of every batch, not only of the selected one")
        set_hint(self.moves, hint)
        self.moves.setAccessibleDescription(hint)
        self.moves.setChecked(bool(settings.value("queue/all moves", False, bool)))
        self.moves.toggled.connect(lambda on: settings.setValue("queue/all moves", on))
        self._flow = FlowLayout(self, spacing=_APART_PX)
        for widget in (
            self.sort, self.shown, self.crop, self.place,
            self.today, self.everything, self.further, self.nearer, self.moves,
        ):  # fmt: skip
            self._flow.addWidget(widget)
        # These stay as narrow as their first choice: their list shows the rest in full.
        for combo in (self.crop, self.place):
            combo.view().setMinimumWidth(self.fontMetrics().horizontalAdvance("n") * 24)
        kept = self.sort.findData(str(settings.value("queue/sort", SortBy.CLOSES.value)))
        self.sort.setCurrentIndex(max(kept, 0))
        for combo in (self.sort, self.shown, self.crop, self.place):
            combo.currentIndexChanged.connect(self._on_changed)

    def be_tight(self, tight: bool) -> None:
        """Take one row rather than two where height is scarce and letters are large."""
        be_tight(self, tight)
        self._flow.setSpacing(_TIGHT_PX if tight else _APART_PX)

    def sort_by(self) -> SortBy:
        """The chosen order."""
        return SortBy(self.sort.currentData())

    def keep(self) -> Filter:
        """The chosen filter."""
        return Filter(
            self.crop.currentData(), self.place.currentData(), Shown(self.shown.currentData())
        )

    def offer(self, crops: Iterable[str], places: Iterable[str]) -> None:
        """The crops and places there are to choose from; a choice that is still there stays."""
        for combo, names in ((self.crop, crops), (self.place, places)):
            chosen = combo.currentData()
            wanted = sorted(set(names) - {""}, key=str.casefold)
            if [combo.itemData(n) for n in range(1, combo.count())] == wanted:
                continue
            combo.blockSignals(True)
            while combo.count() > 1:
                combo.removeItem(1)
            for name in wanted:
                combo.addItem(name, name)
            combo.setCurrentIndex(max(combo.findData(chosen), 0))
            combo.blockSignals(False)

    def show_everything(self) -> None:
        """Choose no filter at all."""
        self.blockSignals(True)
        self.crop.setCurrentIndex(0)
        self.place.setCurrentIndex(0)
        self.shown.setCurrentIndex(self.shown.findData(Shown.ALL))
        self.blockSignals(False)
        self.changed.emit()

    def _on_changed(self) -> None:
        self._settings.setValue("queue/sort", self.sort_by().value)
        self.changed.emit()

    def _combo(self, name: str, items: list[tuple[str, object]], narrow: bool = False) -> QComboBox:
        combo = _NarrowCombo(self) if narrow else QComboBox(self)
        combo.setAccessibleName(name)
        set_hint(combo, name)
        combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        for text, value in items:
            combo.addItem(text, value)
        return combo

    def _button(self, text: str, hint: str) -> QPushButton:
        button = QPushButton(text, self)
        set_hint(button, hint)
        button.setAccessibleDescription(hint)
        return button


class _NarrowCombo(QComboBox):
    """As wide as its first choice needs, whatever else there is to choose from."""

    def sizeHint(self) -> QSize:
        """Qt's own, without what the longest choice has more than the first."""
        return super().sizeHint() - self._spared()

    def minimumSizeHint(self) -> QSize:
        """No wider: a layout gives at least this."""
        return super().minimumSizeHint() - self._spared()

    def _spared(self) -> QSize:
        texts = (self.itemText(n) for n in range(self.count()))
        wide = [self.fontMetrics().horizontalAdvance(text) for text in texts]
        return QSize(max(wide) - wide[0] if wide else 0, 0)
