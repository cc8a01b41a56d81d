"""What was typed into a window and would be lost with it."""

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget
from shiboken6 import isValid

from ripenroom.texts import tr
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.when import WhenEdit

_Line = QLineEdit | QPlainTextEdit


class TypedTexts(QObject):
    """Remembers of each line of a window what stood there when it first had the keyboard.

    So what the program fills in by itself does not count, nor does a moment that follows the clock.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._before: dict[_Line, str] = {}
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)

    def any(self) -> bool:
        """Whether some line that is still there says something else now."""
        return any(
            _text(line) != before and not _follows_clock(line)
            for line, before in self._before.items()
            if isValid(line)
        )

    def forget(self) -> None:
        """What is typed by now is saved."""
        self._before = {line: _text(line) for line in self._before if isValid(line)}

    def _on_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        if isinstance(now, _Line) and now not in self._before and self._window.isAncestorOf(now):
            self._before[now] = _text(now)


def _text(line: _Line) -> str:
    text = line.text() if isinstance(line, QLineEdit) else line.toPlainText()
    return text.strip()


def _follows_clock(line: QWidget) -> bool:
    at: QWidget | None = line
    while at is not None and not isinstance(at, WhenEdit):
        at = at.parentWidget()
    return at is not None and not at.state()


def close_or_ask(note: RefusalNote, loses_typed: bool, button: str) -> bool:
    """Whether to close now; else ``note`` has asked, and ``button`` or Escape is the answer."""
    asked = tr("What you typed is not saved yet. Press {button} again to throw it away.").format(
        button=button.replace("&", "")
    )
    if not loses_typed or note.text == f"! {asked}":
        return True
    note.tell(asked)
    return False
