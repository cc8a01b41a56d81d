"""What was written into a season is shown as it is: no text of it is taken for markup.

Every text of a season that came from elsewhere names a picture on this computer. Qt would load it
wherever it takes the text for marked up.
"""

from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractListModel,
    QAbstractTableModel,
    QModelIndex,
    QSettings,
    Qt,
)
from PySide6.QtGui import QAction, QTextDocument
from PySide6.QtGui import Qt as QtText
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QGraphicsTextItem,
    QGraphicsView,
    QLabel,
    QTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.records.book import Record
from ripenroom.records.crop.library import shipped_text
from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import OwnCrop
from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.palette import HIGH_CONTRAST
from ripenroom.window.paper.packing_list import list_html
from ripenroom.window.plain import PlainLabel, plain_hint, set_hint
from ripenroom.window.queue.decide import DecideDialog
from ripenroom.window.session import Session
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.today.rich_text import page_html
from ripenroom.wording.today.page import day_page
from tests.pictured_dialogs import copies, dialogs
from tests.window.planned import SLOW_MS

PICTURE = "<img src='file:///etc/picture.png'><b>"
OWN = "5d0f6f0e-2f3b-4c55-9d55-3f0b7a1c9e10"
_TEXTS = ("name", "note", "code", "probe", "taught_by", "cultivar")
_MOST_ROWS = 60


def marked(record: Record) -> Record:
    """A record with a picture in each of its texts."""
    changed: dict[str, Any] = {}
    for field in fields(record):
        value = getattr(record, field.name)
        if field.name in _TEXTS and isinstance(value, str):
            changed[field.name] = PICTURE + value
    return replace(record, **changed)


@pytest.fixture
def marked_path(season_path: Path, tmp_path: Path) -> Path:
    """The practice season with a picture in every text, and a crop of its own with some."""
    file = SeasonFile.open(season_path, read_only=True)
    book = file.read()
    file.close()
    records = [marked(record) for record in book.records()]
    text = shipped_text("pawpaw")
    for key in ("name", "title", "note", "where", "author", "worst"):
        text = text.replace(f'{key} = "', f'{key} = "{PICTURE}')
    records.append(OwnCrop(id=OWN, key="pawpaw", text=text))
    path = tmp_path / "marked.ripenroom"
    season = marked(book.season)
    SeasonFile.create(path, season, records).close()  # type: ignore[arg-type]
    return path


@pytest.fixture
def marked_window(
    qtbot: QtBot, qapp: QApplication, settings: QSettings, marked_path: Path
) -> MainWindow:
    window = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(window)
    window.resize(1366, 850)
    window.show()
    assert window.open_path(marked_path)
    session = session_of(window)
    assert session.season.crop_problems == ()
    qtbot.waitUntil(lambda: session.plans.plan is not None, timeout=SLOW_MS)
    return window


def session_of(window: MainWindow) -> Session:
    assert window.session is not None
    return window.session


def taken_for_markup(text: str) -> bool:
    return PICTURE[:4] in text and QtText.mightBeRichText(text)


def faults(root: QWidget) -> Iterator[str]:
    """Where a text of the season is taken for markup, below a widget."""
    for widget in (root, *root.findChildren(QWidget)):
        about = f"{type(widget).__name__} {widget.objectName()}"
        plain = isinstance(widget, QLabel) and widget.textFormat() == Qt.TextFormat.PlainText
        if isinstance(widget, QLabel) and not plain and taken_for_markup(widget.text()):
            yield f"{about}: {widget.text()[:90]}"
        if isinstance(widget, QTextEdit) and has_picture(widget.document()):
            yield f"{about}: a picture"
        if isinstance(widget, QGraphicsView) and widget.scene() is not None:
            for item in widget.scene().items():
                if isinstance(item, QGraphicsTextItem) and has_picture(item.document()):
                    yield f"{about}: a picture in a scene"
        if isinstance(widget, QAbstractItemView) and widget.model() is not None:
            yield from (f"{about}: {hint[:90]}" for hint in hints_in(widget.model()))
        hints = [widget.toolTip(), *(action.toolTip() for action in actions_of(widget))]
        yield from (f"{about}, hint: {hint[:90]}" for hint in hints if taken_for_markup(hint))


def actions_of(widget: QWidget) -> Iterator[QAction]:
    # What QAction makes of a text of a menu is no hint unless its menu shows hints.
    yield from (action for action in widget.actions() if action.toolTip() != action.text())


def has_picture(document: QTextDocument) -> bool:
    # The first steps of Help have drawings that the program itself puts in.
    return "<img" in document.toHtml().replace('<img src="drawing:', "")


def hints_in(model: QAbstractItemModel, parent: QModelIndex | None = None) -> Iterator[str]:
    parent = QModelIndex() if parent is None else parent
    role = Qt.ItemDataRole.ToolTipRole
    flat = isinstance(model, QAbstractTableModel | QAbstractListModel)
    for column in range(1 if isinstance(model, QAbstractListModel) else model.columnCount(parent)):
        for row in range(min(_MOST_ROWS, model.rowCount(parent))):
            index = model.index(row, column, parent)
            hint = model.data(index, role)
            if isinstance(hint, str) and taken_for_markup(hint):
                yield hint
            if column == 0 and not flat:
                yield from hints_in(model, index)
        head = model.headerData(column, Qt.Orientation.Horizontal, role)
        if isinstance(head, str) and taken_for_markup(head):
            yield head


def shown_in(root: QWidget) -> int:
    """How many labels below a widget show a text of the season."""
    return sum(PICTURE[:4] in label.text() for label in root.findChildren(QLabel))


def test_plain_labels_and_hints(qtbot: QtBot) -> None:
    label = PlainLabel(PICTURE)
    qtbot.addWidget(label)
    set_hint(label, PICTURE)
    assert list(faults(label)) == []
    assert plain_hint("Key: Ctrl+E") == "Key: Ctrl+E"
    assert plain_hint("half < full > none") == "half < full > none"
    wrong = QLabel(PICTURE)
    qtbot.addWidget(wrong)
    wrong.setToolTip(PICTURE)
    edit = QTextEdit()
    qtbot.addWidget(edit)
    edit.setHtml(f"<p>{PICTURE}</p>")
    assert len(list(faults(wrong))) == 2  # what this file looks for is found where it is
    assert len(list(faults(edit))) == 1


@pytest.mark.long
def test_no_page_takes_a_text_for_markup(qtbot: QtBot, marked_window: MainWindow) -> None:
    shown = 0
    assert marked_window.desk is not None
    for page in PAGES:
        marked_window.desk.go_to(page)
        qtbot.wait(50)
        assert list(faults(marked_window)) == [], page
        shown += shown_in(marked_window)
    assert shown > 10


@pytest.mark.long
def test_no_dialog_takes_a_text_for_markup(
    qtbot: QtBot, marked_window: MainWindow, tmp_path: Path
) -> None:
    session = session_of(marked_window)
    book = session.season.book
    batch_id = next(iter(book.moves.values())).batch_id
    settled = next(day.id for day in book.market_days.values() if day.settled_at)
    projection = session.projection()
    pairs = zip(projection.batch_ids, projection.left, strict=True)
    waiting = next(each for each, fruit in pairs if fruit > 10 and session.season.moves_of(each))
    makers: list[tuple[str, Any]] = [
        *dialogs(session, tmp_path, lambda ready: qtbot.waitUntil(ready), marked_window),
        ("batch", lambda: BatchDialog(session, batch_id, marked_window)),
        ("check", lambda: CheckDialog(session, batch_id, parent=marked_window)),
        ("settle", lambda: SettleDialog(session, settled, marked_window)),
        ("expected", lambda: ExpectedPicksDialog(session, marked_window)),
        ("decide", lambda: DecideDialog(session, waiting, None, marked_window)),
        *copies(session, tmp_path, marked_window),
    ]
    shown = 0
    for name, make in makers:
        dialog = make()
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)  # its test deletes it
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.wait(20)
        assert list(faults(dialog)) == [], name
        shown += shown_in(dialog)
        dialog.close()
    assert shown > 10


def test_no_paper_takes_a_text_for_markup(marked_window: MainWindow) -> None:
    session = session_of(marked_window)
    season, plan = session.season, session.plans.plan
    assert plan is not None
    day = max(season.book.market_days.values(), key=lambda one: one.starts_at)
    page = page_html(day_page(session), session.words, HIGH_CONTRAST, 10.0)
    for html in (list_html(session, plan, day.id), page):
        assert "&lt;img" in html
        assert "<img" not in html
