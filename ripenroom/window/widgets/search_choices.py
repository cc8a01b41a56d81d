"""A list to choose from by typing: what is found is offered below the line, the best first.

:func:`matches` knows no Qt.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QModelIndex, QSignalBlocker, QStringListModel, Qt, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QComboBox, QCompleter, QLineEdit, QListView, QWidget

from ripenroom.texts import tr
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.typed_day import folded

_WORD = re.compile(r"\w+")


def matches(
    typed: str,
    names: Sequence[str],
    first: int = 0,
    others: Mapping[int, Sequence[str]] = MappingProxyType({}),
) -> list[int]:
    """Places in ``names`` that every typed word begins a word of; ``others`` has other names that
    the thing of a place is found by.

    A name that is typed in full, or a part of it between dots in the middle, comes first; then
    the ``first`` names of the list before the others; among these, names that begin as typed
    before those that have it later on. Capitals and accents do not count.
    """
    query = folded(typed)
    words = _WORD.findall(query)
    if not words:
        return list(range(len(names)))
    found: list[tuple[tuple[bool, bool, bool, int], int]] = []
    for place, name in enumerate(names):
        orders = []
        for known in map(folded, (name, *others.get(place, ()))):
            have = _WORD.findall(known)
            if all(any(one.startswith(word) for one in have) for word in words):
                whole, begins = query in _whole(known), _begins(known, query)
                orders.append((not whole, place >= first, not begins, place))
        if orders:
            found.append((min(orders), place))
    return [place for _, place in sorted(found)]


def is_name(typed: str, name: str) -> bool:
    """Whether a name, or a part of it between dots in the middle, is typed in full."""
    return folded(typed) in _whole(folded(name))


def named_in(typed: str, names: Mapping[str, Iterable[str]]) -> tuple[str | None, str]:
    """The key of the thing one of whose names is one of several typed words; the other words."""
    words = typed.split()
    for key, of_it in names.items():
        for word in words:
            if len(words) > 1 and any(is_name(word, name) for name in of_it):
                return key, " ".join(one for one in words if one != word)
    return None, typed


def _whole(name: str) -> set[str]:
    return {name, *(part.strip() for part in name.split("·")[1:])}


def _begins(name: str, query: str) -> bool:
    return any(part.strip().startswith(query) for part in name.split("·"))


_MOST_SHOWN: Final = 8

New = Callable[[str], Sequence[tuple[str, object]]]
"""Of a typed text, lines that offer to add it, each with what is then asked for."""


class SearchChoices(RecordChoice):
    """Type a part of a name, go to another one with the arrow keys, take it with Enter.

    What stands in the line is what is chosen: a text that finds something becomes the name that
    was offered first once the line is left, and one that finds nothing chooses nothing, which
    ``misread`` says to the field around it. With ``new`` a name that is not there yet can be added:
    of what is typed it gives the lines that offer so, each with what ``newAsked`` then has.
    """

    misread = Signal(str)
    newAsked = Signal(object)  # noqa: N815 - named as Qt names signals

    def __init__(
        self, letters: int = 10, new: New | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(letters, parent)
        self._new, self._first = new, 0
        self._offered_new: list[object] = []
        self._others: dict[int, Sequence[str]] = {}
        self._finders: dict[int, Sequence[str]] = {}
        self._offered: list[int] = []
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setCompleter(None)  # type: ignore[arg-type] # Qt takes none, its stubs do not
        self._names = QStringListModel(self)
        self.found = QCompleter(self._names, self)
        self.found.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        self.found.setMaxVisibleItems(_MOST_SHOWN)
        popup = self._popup = QListView(self)
        popup.setStyleSheet("QListView::item { min-height: 30px; padding-left: 6px; }")
        popup.setAccessibleName(tr("What is found"))
        self.found.setPopup(popup)
        self.found.setWidget(self)
        chosen = self.found.activated[QModelIndex]  # type: ignore[index] # of two it is this one
        chosen.connect(lambda index: self._take(index.row()))
        self._line().textEdited.connect(self._on_typed)

    def set_choices(
        self,
        choices: Sequence[tuple[object, str]],
        first: int = 0,
        others: Mapping[object, Sequence[str]] = MappingProxyType({}),
        hints: Mapping[object, Sequence[str]] = MappingProxyType({}),
    ) -> None:
        """Offer these; the ``first`` of them are found before the rest. What is typed stays.

        ``others`` are other names, by value, which find a choice as well. So do ``hints``, which
        are no names of it: one that is typed in full can still be added.
        """
        self._first = first
        values = [value for value, _ in choices]
        self._others = {n: others[value] for n, value in enumerate(values) if value in others}
        self._finders = {
            n: (*others.get(value, ()), *hints.get(value, ())) for n, value in enumerate(values)
        }
        typed = None if self._is_settled() else self.currentText()
        super().set_choices(choices)
        if typed is not None:
            self._show(typed)

    def value(self) -> object:
        """The value of what stands in the line, None where that finds nothing."""
        place = self._meant()
        return None if place is None else self._values[place]

    def setCurrentIndex(self, index: int) -> None:
        """Choose by its place; the line shows the name from its beginning."""
        super().setCurrentIndex(index)
        self.misread.emit("")
        self._line().setCursorPosition(0)

    def setAccessibleName(self, name: str) -> None:
        """Name what a screen reader says when the line is entered."""
        super().setAccessibleName(name)
        self._line().setAccessibleName(name)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Come with all of it chosen, so that typing begins another search."""
        super().focusInEvent(event)
        elsewhere = Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason
        if self._is_settled() or event.reason() not in elsewhere:
            self._line().selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Settle for what was found, and show it."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.settle()

    def settle(self) -> None:
        """Show the name of what the text means; say where it means nothing."""
        if self._is_settled():
            return
        place = self._meant()
        if place is not None:
            self._choose_place(place)
            return
        typed = self.currentText()
        with QSignalBlocker(self):
            super().setCurrentIndex(-1)
            self._show(typed)
        self.currentIndexChanged.emit(-1)
        self.misread.emit(self._why(typed))

    def _why(self, typed: str) -> str:
        if self._new is None:
            return tr("Nothing here is called “{typed}”.").format(typed=typed.strip())
        text = tr("Nothing here is called “{typed}”. Type on, or add it from the list.")
        return text.format(typed=typed.strip())

    def _line(self) -> QLineEdit:
        line = self.lineEdit()
        assert line is not None
        return line

    def _is_settled(self) -> bool:
        text, chosen = self.currentText(), self.currentIndex()
        return text == self.itemText(chosen) if chosen >= 0 else not text

    def _meant(self) -> int | None:
        chosen = self.currentIndex()
        if self._is_settled() or not self.currentText().strip():
            # An emptied line changes nothing.
            return chosen if chosen >= 0 else None
        found = self._found(self.currentText())
        return found[0] if found else None

    def _texts(self) -> list[str]:
        return [self.itemText(place) for place in range(self.count())]

    def _found(self, typed: str) -> list[int]:
        return matches(typed, self._texts(), self._first, self._finders)

    def _show(self, typed: str) -> None:
        self.setEditText(typed)

    def _on_typed(self, typed: str) -> None:
        names = self._texts()
        self._offered = self._found(typed)
        shown = [names[place] for place in self._offered]
        others = (name for place in self._offered for name in self._others.get(place, ()))
        exact = any(is_name(typed, name) for name in (*shown, *others))
        self._offered_new = []
        if self._new is not None and typed.strip() and not exact:
            for line, asked in self._new(typed.strip()):
                shown.append(line)
                self._offered_new.append(asked)
        self.misread.emit("")
        self._names.setStringList(shown)
        if not shown or not typed.strip():
            self._popup.hide()
            return
        self._popup.setMinimumWidth(min(self._popup.sizeHintForColumn(0) + 30, 480))
        self.found.complete()
        self._popup.setCurrentIndex(self.found.completionModel().index(0, 0))

    def _take(self, row: int) -> None:
        """A line of what was found is chosen."""
        if row < len(self._offered):
            self._choose_place(self._offered[row])
        else:
            self.newAsked.emit(self._offered_new[row - len(self._offered)])

    def _choose_place(self, place: int) -> None:
        with QSignalBlocker(self):
            # Its name may be the one that is chosen already, and the line is to show it again.
            before = self.currentIndex()
            super().setCurrentIndex(place)
            self._show(self.itemText(place))
        self._line().setCursorPosition(0)
        self.misread.emit("")
        if place != before:
            self.currentIndexChanged.emit(place)
        self.activated.emit(place)
