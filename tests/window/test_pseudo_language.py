"""All that pages and dialogs say is translated, and fits where texts are a third longer."""

import re
from collections.abc import Iterator, Set
from dataclasses import fields
from itertools import chain
from pathlib import Path
from typing import get_args
from zoneinfo import available_timezones

import pytest
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt
from PySide6.QtGui import Qt as QtText
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QGraphicsTextItem,
    QGraphicsView,
    QLabel,
    QLineEdit,
    QTabBar,
    QTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom import texts
from ripenroom.records.book import Record
from ripenroom.records.season import SeasonDetails
from ripenroom.texts import languages
from ripenroom.window.main_window import MainWindow
from ripenroom.window.session import Session
from ripenroom.window.shell.language import own_name
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.wording.record_fields import field_words
from tests.catalogue.pseudo import pseudo_texts
from tests.catalogue.untranslated import data_words, untranslated
from tests.pictured_dialogs import TYPED, copies
from tests.window.planned import planned
from tests.window.test_large_text import cut_off
from tests.window.test_letters import every_dialog

_ROLES = (
    Qt.ItemDataRole.DisplayRole,
    Qt.ItemDataRole.ToolTipRole,
    Qt.ItemDataRole.AccessibleTextRole,
)
_MOST_ROWS = 40
_TAG = re.compile(r"<[^<>]*>")

_ALLOWED = {
    "ripenroom",
    # Keys, which Qt names in its own catalogues.
    *("ctrl", "shift", "alt", "enter", "esc", "return", "space", "tab", "del", "home", "end"),
    *("ins", "pgup", "pgdown", "backspace"),
    # Days and months, which CLDR names in the language of our sentences; it has no pseudo one.
    *("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
    *("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"),
    *("january", "february", "march", "april", "june", "july"),
    *("august", "september", "october", "november", "december"),
    "utf",  # encodings of text
}


_OF_QT = ("Scroll Left", "Scroll Right")
"""What Qt says itself of its rows of tabs; it has catalogues of its own."""


@pytest.fixture(autouse=True)
def in_pseudo_language() -> Iterator[None]:
    texts.use(pseudo_texts())
    yield
    texts.use_language("en")


def told(root: QWidget) -> Iterator[str]:
    """Every text below a widget that someone sees, or hears read out."""
    for widget in (root, *root.findChildren(QWidget)):
        yield from (widget.toolTip(), widget.accessibleName(), widget.accessibleDescription())
        yield widget.windowTitle()
        yield from (action.text() for action in widget.actions())
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget.text()
        elif isinstance(widget, QLineEdit):
            yield widget.placeholderText()
        elif isinstance(widget, QTextEdit):
            yield widget.toPlainText()
        elif isinstance(widget, QTabBar):
            yield from (widget.tabText(n) for n in range(widget.count()))
        elif isinstance(widget, QComboBox):
            yield from (widget.itemText(n) for n in range(widget.count()))
        elif isinstance(widget, QGraphicsView) and widget.scene() is not None:
            items = widget.scene().items()
            yield from (i.toPlainText() for i in items if isinstance(i, QGraphicsTextItem))
        if isinstance(widget, QAbstractItemView) and widget.model() is not None:
            yield from told_by(widget.model())


def told_by(model: QAbstractItemModel) -> Iterator[str]:
    columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount()
    for column in range(columns):
        for role in _ROLES:
            cells = (
                model.data(model.index(row, column, QModelIndex()), role)
                for row in range(min(_MOST_ROWS, model.rowCount()))
            )
            head = model.headerData(column, Qt.Orientation.Horizontal, role)
            yield from (text for text in (head, *cells) if isinstance(text, str))


def data_of(session: Session) -> set[str]:
    """Words of the season's own records and of its file."""
    return data_words([session.season.book, session.season.path])


def english_in(root: QWidget, known: Set[str]) -> list[str]:
    """What is told below a widget with words that are neither translated nor ``known``."""
    missing: dict[str, set[str]] = {}
    for text in told(root):
        bare = _TAG.sub(" ", text) if QtText.mightBeRichText(text) else text
        if bare not in _OF_QT and (found := untranslated(bare, known)):
            missing.setdefault(bare[:100], set()).update(found)
    return [f"{text!r} says {', '.join(sorted(words))}" for text, words in missing.items()]


def test_every_page_is_translated_and_has_room(qtbot: QtBot, window: MainWindow) -> None:
    session, desk = window.session, window.desk
    assert session is not None
    assert desk is not None
    planned(qtbot, session)
    # Languages are called what those call them who speak them.
    allowed = _ALLOWED | data_of(session) | data_words(map(own_name, languages()))
    prose = data_words(session.season.crops.values())
    found: list[str] = []
    for name in PAGES:
        desk.go_to(name)
        known = allowed | prose if name == "crops" else allowed
        wrong = english_in(desk.page(name) if name != "today" else window, known)
        found += [f"{name}: {text}" for text in (*wrong, *cut_off(window))]
        assert (window.width(), window.height()) == (1024, 700)
    assert not found, "\n".join(found)


@pytest.mark.long
@pytest.mark.usefixtures("some_batches")
def test_every_dialog_is_translated_and_has_room(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    session = window.session
    assert session is not None
    planned(qtbot, session)
    allowed = _ALLOWED | data_of(session) | data_words(available_timezones())
    found: list[str] = []
    for name, make in chain(
        every_dialog(qtbot, window, tmp_path), copies(session, tmp_path, window)
    ):
        dialog, known = make(), allowed | data_words(TYPED.get(name, ()))
        dialog.resize(dialog.size().boundedTo(window.size()))
        dialog.show()
        found += [f"{name}: {text}" for text in (*english_in(dialog, known), *cut_off(dialog))]
        if window.size().expandedTo(dialog.size()) != window.size():
            found.append(f"{name}: takes {dialog.width()} x {dialog.height()}")
        dialog.close()
        dialog.deleteLater()
    assert not found, "\n".join(found)


def test_all_that_a_copy_may_differ_in_is_named_in_words() -> None:
    kinds = set(get_args(Record)) - {SeasonDetails}
    named = {field.name for kind in kinds for field in fields(kind)} - {"id"}
    assert {name for name in named if untranslated(field_words(name))} == set()
