"""The day sheet as real boxes to tick, for mouse, keyboard and screen reader alike."""

from collections.abc import Callable, Hashable, Sequence
from html import escape

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer, Signal
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
    """The line; ``ticked`` follows the box, ``followed`` carries the link that was chosen, and
    ``letGo`` says that the box or the link is held down no longer."""

    ticked = Signal(bool)
    followed = Signal(str)
    letGo = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._link_held = False
        self.box = TickBox(self)
        self.box.setMinimumWidth(SMALLEST_TARGET)
        self.box.clicked.connect(self.ticked)
        self.box.released.connect(self.letGo)
        self.text = QLabel(self)
        self.text.setTextFormat(Qt.TextFormat.RichText)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.text.linkActivated.connect(self.followed)
        self.text.installEventFilter(self)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.text.setSizePolicy(policy)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.box, 0, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self.text, 1, Qt.AlignmentFlag.AlignTop)

    @property
    def held(self) -> bool:
        """Whether a key or a button of the mouse is down on it, of which something will come."""
        return self.box.isDown() or self._link_held

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Notice when the mouse holds the link, and when it lets go."""
        if event.type() == QEvent.Type.MouseButtonPress:
            self._link_held = True
        elif event.type() == QEvent.Type.MouseButtonRelease and self._link_held:
            self._link_held = False
            self.letGo.emit()
        return super().eventFilter(watched, event)

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
        headline = words.unbroken(escape(item.headline))
        headline = f"<s>{headline}</s>" if done else f"<b>{headline}</b>"
        why = words.unbroken(f" {escape(ended(item.reason))}") if item.reason else ""
        stop = ended(item.headline).removeprefix(item.headline)
        self.text.setText(
            f"<span style='color:{colour}'><a href='{escape(item.link)}' style='color:{colour}'>"
            f"{headline}</a>{stop}{why}</span>"
        )


class Sheet(QWidget):
    """Rows under the headings of their kinds.

    ``tickAsked`` carries a task and whether it is to be done or taken back; ``followed`` a link.
    While a line is ``held`` new ones would take the key or the click away: whoever has them shows
    them after ``letGo``. ``why_not`` says why a task cannot be ticked, ``line_of`` what is the same
    line before and after it is done.
    """

    tickAsked = Signal(object, bool)  # noqa: N815 - named as Qt names signals
    followed = Signal(str)
    letGo = Signal()  # noqa: N815

    def __init__(
        self,
        why_not: Callable[[DayTask], str],
        line_of: Callable[[DayTask], Hashable],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._why_not = why_not
        self._line_of = line_of
        self.rows: list[DayTaskRow] = []
        self._lines: list[Hashable] = []
        self._headings: list[PlainLabel] = []
        self.nothing = WrappedLabel(parent=self)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(2)
        self._layout.addWidget(self.nothing)
        self.setAccessibleName(tr("Day sheet"))

    @property
    def held(self) -> bool:
        """Whether a key or a button of the mouse is down on a line."""
        return any(row.held for row in self.rows)

    def show_tasks(
        self,
        tasks: Sequence[tuple[DayTask, Item]],
        nothing: str,
        words: Formats,
        ink: Palette,
        font: QFont,
    ) -> None:
        """Show these, or say ``nothing``; the keyboard stays on the line where it was."""
        at, on_link = self._focused()
        line = None if at is None else self._lines[at]
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
            self._give_focus(at, line, on_link)

    def _focused(self) -> tuple[int | None, bool]:
        """Which row has the keyboard, and whether its link has it."""
        focus = QApplication.focusWidget()
        for n, row in enumerate(self.rows):
            if focus in (row.box, row.text):
                return n, focus is row.text
        return None, False

    def _give_focus(self, at: int, line: Hashable, on_link: bool) -> None:
        """To the same line; where it is gone, to the one that stands there now."""
        same = [n for n, other in enumerate(self._lines) if other == line]
        at = min(same, key=lambda n: abs(n - at), default=min(at, len(self.rows) - 1))
        row = self.rows[at]
        # By Tab the link itself is marked.
        reason = Qt.FocusReason.TabFocusReason if on_link else Qt.FocusReason.OtherFocusReason
        (row.text if on_link or not row.box.isEnabled() else row.box).setFocus(reason)

    def _clear(self) -> None:
        for widget in (*self.rows, *self._headings):
            self._layout.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self.rows.clear()
        self._lines.clear()
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
        # Once the click itself is done with.
        row.letGo.connect(lambda: QTimer.singleShot(0, self, self.letGo.emit))
        self._layout.addWidget(row)
        self.rows.append(row)
        self._lines.append(self._line_of(task))
