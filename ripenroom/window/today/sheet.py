"""The day sheet as real boxes to tick, for mouse, keyboard and screen reader alike."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from ripenroom.season.day_sheet import Deed
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.inks import Ink
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.today.deed_row import DeedRow, TickBox
from ripenroom.window.today.deed_words import kind_title
from ripenroom.window.today.item import Item


class Sheet(QWidget):
    """Rows under the headings of their kinds.

    ``tickAsked`` carries a deed and whether it is to be done or taken back; ``followed`` a link.
    """

    tickAsked = Signal(object, bool)  # noqa: N815 - named as Qt names signals
    followed = Signal(str)

    def __init__(self, why_not: Callable[[Deed], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._why_not = why_not
        self.rows: list[DeedRow] = []
        self._headings: list[PlainLabel] = []
        self.nothing = WrappedLabel(parent=self)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(2)
        self._layout.addWidget(self.nothing)
        self.setAccessibleName(self.tr("Day sheet"))

    def show_deeds(
        self, deeds: Sequence[tuple[Deed, Item]], nothing: str, ink: Ink, font: QFont
    ) -> None:
        """Show these, or say ``nothing``; the keyboard stays on the line where it was."""
        at = self._focused()
        self._clear()
        self.nothing.setText(nothing)
        self.nothing.setFont(font)
        self.nothing.setVisible(not deeds)
        kind, under = None, ""
        for deed, item in deeds:
            if deed.kind is not kind:
                kind, under = deed.kind, ""
                self._add_heading(kind_title(deed.kind), font, "daySection")
            if item.under and item.under != under:
                self._add_heading(item.under, font)
            under = item.under
            self._add_row(deed, item, ink, font)
        if at is not None and self.rows:
            self.rows[min(at, len(self.rows) - 1)].box.setFocus(Qt.FocusReason.OtherFocusReason)

    def _focused(self) -> int | None:
        focus = QApplication.focusWidget()
        if not isinstance(focus, TickBox):
            return None
        return next((n for n, row in enumerate(self.rows) if row.box is focus), None)

    def _clear(self) -> None:
        for widget in (*self.rows, *self._headings):
            self._layout.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self.rows.clear()
        self._headings.clear()

    def _add_heading(self, text: str, font: QFont, name: str = "") -> None:
        heading = PlainLabel(text, self)
        heading.setObjectName(name)
        bold = QFont(font)
        bold.setBold(True)
        heading.setFont(bold)
        heading.setContentsMargins(0, 8 if self.rows else 0, 0, 0)
        self._layout.addWidget(heading)
        self._headings.append(heading)

    def _add_row(self, deed: Deed, item: Item, ink: Ink, font: QFont) -> None:
        row = DeedRow(self)
        row.show_item(item, deed.done, ink, font)
        why_not = self._why_not(deed)
        row.box.setEnabled(not why_not)
        set_hint(row.box, why_not or item.headline)
        row.ticked.connect(lambda on, deed=deed: self.tickAsked.emit(deed, on))
        row.followed.connect(self.followed)
        self._layout.addWidget(row)
        self.rows.append(row)
