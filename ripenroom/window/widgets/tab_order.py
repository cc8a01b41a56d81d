"""Tab goes as people read: through what is laid out, in the order in which it lies."""

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLayout, QScrollArea, QSplitter, QWidget


def begin_with(whole: QWidget, part: QWidget) -> None:
    """Let one of its parts have the keyboard for the whole.

    The whole is a stop of Tab as well, which hands over to the part: it has to be moved where that
    is moved, and Qt moves only what can take the keyboard.
    """
    whole.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # first: afterwards it would be the part's
    whole.setFocusProxy(part)


def tab_as_laid_out(layout: QLayout) -> None:
    """Let Tab come by the widgets of a layout one after the other.

    Qt lets it come by in the order in which they were made, so a line that is added later would
    come last. Where the layout begins and what follows it stays.
    """
    for before, after in pairwise(_stops(layout)):
        QWidget.setTabOrder(before, after)


def _stops(layout: QLayout) -> Iterator[QWidget]:
    for number in range(layout.count()):
        item = layout.itemAt(number)
        assert item is not None
        if (widget := item.widget()) is not None:
            yield from _stops_of(widget)
        elif (inner := item.layout()) is not None:
            yield from _stops(inner)


def _stops_of(widget: QWidget) -> Iterator[QWidget]:
    if isinstance(widget, QSplitter):
        for number in range(widget.count()):
            part = widget.widget(number)
            assert part is not None
            yield from _stops_of(part)
        return
    if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
        yield widget
        if widget.focusProxy() is not None:
            return  # Qt moves all that is in it, in the order that it has in there
    inner = widget.widget() if isinstance(widget, QScrollArea) else widget
    if inner is not None and (layout := inner.layout()) is not None:
        yield from _stops(layout)
