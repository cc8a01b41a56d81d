"""One line of the day sheet: a box to tick, what to do, and why."""

from html import escape

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QSizePolicy, QWidget  # noqa: TID251 - quotes

from ripenroom.window.inks import Ink
from ripenroom.window.style_sheet import SMALLEST_TARGET
from ripenroom.window.today.item import Item
from ripenroom.window.wording import ended


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
        boxes.sort(key=lambda box: box.mapTo(box.window(), box.rect().topLeft()).y())
        at = boxes.index(self) + by
        if 0 <= at < len(boxes):
            boxes[at].setFocus(Qt.FocusReason.TabFocusReason)


class DeedRow(QWidget):
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

    def show_item(self, item: Item, done: bool, ink: Ink, font: QFont) -> None:
        """Show what a deed says; what is done is struck through and fainter."""
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
        headline = escape(item.headline)
        headline = f"<s>{headline}</s>" if done else f"<b>{headline}</b>"
        # A sign of per cent does not begin a line.
        why = f" {escape(ended(item.reason))}".replace(" %", "&nbsp;%") if item.reason else ""
        stop = ended(item.headline).removeprefix(item.headline)
        self.text.setText(
            f"<span style='color:{colour}'><a href='{escape(item.link)}' style='color:{colour}'>"
            f"{headline}</a>{stop}{why}</span>"
        )
