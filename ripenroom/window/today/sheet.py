"""The day sheet as real boxes to tick, for mouse, keyboard and screen reader alike."""

from collections.abc import Callable, Sequence
from html import escape

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QHBoxLayout,
    QLabel,  # noqa: TID251 - quotes
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.day_sheet import DayTask
from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.style_sheet import SMALLEST_TARGET
from ripenroom.window.today.rich_text import unbroken
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import Formats, ended
from ripenroom.wording.today.items import Item
from ripenroom.wording.today.tasks import kind_title


class TickBox(QCheckBox):
    """A box that Space and Enter tick; the arrow keys go to the next and the one before."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter ticks as Space does; Down and Up go along the sheet."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self._go(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def hitButton(self, pos: QPoint) -> bool:
        """All of the box takes a click: Qt's own takes it on the drawn square alone."""
        return self.rect().contains(pos)

    def _go(self, by: int) -> None:
        row = self.parentWidget()
        sheet = row.parentWidget() if row is not None else None
        boxes = sheet.findChildren(TickBox) if sheet is not None else [self]
        boxes = [box for box in boxes if box.isEnabled() and box.isVisible()]
        boxes.sort(key=lambda box: box.mapToGlobal(QPoint()).y())
        at = boxes.index(self) + by
        if 0 <= at < len(boxes):
            boxes[at].setFocus(Qt.FocusReason.TabFocusReason)


class DayTaskRow(QWidget):
    """The line; ``ticked`` follows the box, ``followed`` carries the link that was chosen."""

    ticked = Signal(bool)
    followed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.box = TickBox(self)
        self.box.setMinimumWidth(SMALLEST_TARGET)
        self.box.clicked.connect(self.ticked)
        self.text = QLabel(self)
        self.text.setTextFormat(Qt.TextFormat.RichText)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.text.linkActivated.connect(self.followed)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.text.setSizePolicy(policy)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.box, 0, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self.text, 1, Qt.AlignmentFlag.AlignTop)

    def show_item(self, item: Item, done: bool, words: Formats, ink: Palette, font: QFont) -> None:
        """Show what a task says; what is done is struck through and fainter."""
        self.text.setFont(font)
        # The first line stands beside the middle of the box.
        line_px = self.text.fontMetrics().height()
        above = max(0, (self.box.sizeHint().height() - line_px) // 2)
        self.text.setContentsMargins(0, above, 0, 0)
        self.box.setChecked(done)
        self.box.setAccessibleName(item.spoken or item.headline)
        self.box.setAccessibleDescription(item.reason)
        spoken = item.spoken or item.headline
        self.text.setAccessibleName(f"{ended(spoken)} {item.reason}".strip())
        colour = (ink.faint if done else ink.text).name()
        headline = unbroken(escape(item.headline), words)
        headline = f"<s>{headline}</s>" if done else f"<b>{headline}</b>"
        why = unbroken(f" {escape(ended(item.reason))}", words) if item.reason else ""
        stop = ended(item.headline).removeprefix(item.headline)
        self.text.setText(
            f"<span style='color:{colour}'><a href='{escape(item.link)}' style='color:{colour}'>"
            f"{headline}</a>{stop}{why}</span>"
        )


class Sheet(QWidget):
    """Rows under the headings of their kinds.

    ``tickAsked`` carries a task and whether it is to be done or taken back; ``followed`` a link.
    """

    tickAsked = Signal(object, bool)  # noqa: N815 - named as Qt names signals
    followed = Signal(str)

    def __init__(self, why_not: Callable[[DayTask], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._why_not = why_not
        self.rows: list[DayTaskRow] = []
        self._headings: list[PlainLabel] = []
        self.nothing = WrappedLabel(parent=self)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(2)
        self._layout.addWidget(self.nothing)
        self.setAccessibleName(tr("Day sheet"))

    def show_tasks(
        self,
        tasks: Sequence[tuple[DayTask, Item]],
        nothing: str,
        words: Formats,
        ink: Palette,
        font: QFont,
    ) -> None:
        """Show these, or say ``nothing``; the keyboard stays on the line where it was."""
        at = self._focused()
        self._clear()
        self.nothing.setText(nothing)
        self.nothing.setFont(font)
        self.nothing.setVisible(not tasks)
        kind, under = None, ""
        for task, item in tasks:
            if task.kind is not kind:
                kind, under = task.kind, ""
                self._add_heading(kind_title(task.kind), font, "daySection")
            if item.under and item.under != under:
                self._add_heading(item.under, font)
            under = item.under
            self._add_row(task, item, words, ink, font)
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

    def _add_row(
        self, task: DayTask, item: Item, words: Formats, ink: Palette, font: QFont
    ) -> None:
        row = DayTaskRow(self)
        row.show_item(item, task.done, words, ink, font)
        why_not = self._why_not(task)
        row.box.setEnabled(not why_not)
        set_hint(row.box, why_not or item.headline)
        row.ticked.connect(lambda on, task=task: self.tickAsked.emit(task, on))
        row.followed.connect(self.followed)
        self._layout.addWidget(row)
        self.rows.append(row)
