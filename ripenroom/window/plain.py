"""Labels and hints that show a text as it is.

Qt takes a text for marked up that looks so, and then loads the pictures it names. Names and notes
come from files of other people: what they wrote is shown, never followed.
"""

from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QPainter
from PySide6.QtGui import Qt as QtText
from PySide6.QtWidgets import QLabel, QLayout, QSplitter, QWidget  # noqa: TID251


def reads_from_right() -> bool:
    """Whether lines of the window begin at the right, as those of Arabic or Hebrew."""
    return QGuiApplication.layoutDirection() == Qt.LayoutDirection.RightToLeft


class PlainLabel(QLabel):
    """A label that shows a text as it is; the only one beside what the program marks up itself."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)
        if reads_from_right():
            self.setAlignment(Qt.AlignmentFlag.AlignVCenter)

    def setAlignment(self, alignment: Qt.AlignmentFlag, /) -> None:
        """Lines begin where those of the language do, also where a foreign word comes first."""
        flag = Qt.AlignmentFlag
        if reads_from_right() and not alignment & (flag.AlignHCenter | flag.AlignRight):
            alignment = alignment & ~flag.AlignLeft | flag.AlignRight | flag.AlignAbsolute
        super().setAlignment(alignment)


class _Hinted(Protocol):
    def setToolTip(self, text: str, /) -> None: ...


def set_hint(control: _Hinted, text: str) -> None:
    """Give a control the hint that is shown where the pointer rests on it."""
    control.setToolTip(plain_hint(text))


def plain_hint(text: str) -> str:
    """A text as hints take it: hints know no plain text, so one that looks marked up is quoted."""
    return QtText.convertFromPlainText(text) if QtText.mightBeRichText(text) else text


def unbroken(text: str) -> str:
    """A text whose lines do not end between a number and its unit, or its sign."""
    return text.replace(" %", "\u00a0%").replace(" °", "\u00a0°").replace("± ", "±\u00a0")


def run_from_left(picture: QWidget | QPainter) -> None:
    """Draw a picture from left to right in every language, as time, scales and figures run.

    A painter goes by the language, and not by what it paints upon: it has to be told as well.
    """
    picture.setLayoutDirection(Qt.LayoutDirection.LeftToRight)


def set_margins(what: QLayout | QWidget, begin: int, top: int, end: int, bottom: int) -> None:
    """Keep pixels free around something: ``begin`` of them where lines begin."""
    left, right = (end, begin) if reads_from_right() else (begin, end)
    what.setContentsMargins(left, top, right, bottom)


def within(splitter: QSplitter) -> QSplitter:
    """The splitter, with all its panes in it: where lines begin at the right Qt lays the first one
    a pixel over its edge."""
    splitter.setContentsMargins(0, 0, int(reads_from_right()), 0)
    return splitter
