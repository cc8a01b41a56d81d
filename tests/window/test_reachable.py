"""Every control has a name to be read out, and the Tab key comes by."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QCalendarWidget,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QTabBar,
    QTextBrowser,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.crops.copy_dialog import CopyCropDialog
from ripenroom.window.crops.figure_dialog import FigureDialog
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.page import CropsPage
from ripenroom.window.forms.batch_moves import EthyleneDialog
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.orchard import OrchardDialog
from ripenroom.window.forms.second_grade import SecondGradeDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.paper.label_dialog import LabelDialog
from ripenroom.window.paper.output import PaperDialog
from ripenroom.window.places.logs.list_dialog import LogListDialog
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.style_sheet import SMALLEST_TARGET
from tests.window.crops.conftest import lines_of
from tests.window.gated import pick

CONTROLS = (QPushButton, QToolButton, QLineEdit, QComboBox, QAbstractSpinBox)


def controls_of(root: QWidget) -> list[QWidget]:
    """Every visible, enabled widget that takes the keyboard by Tab, without their inner parts."""
    return [
        widget
        for widget in root.findChildren(QWidget)
        if widget.isVisible()
        and widget.isEnabled()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.focusProxy() is None
        and not isinstance(widget.parentWidget(), QAbstractSpinBox | QComboBox | QCalendarWidget)
    ]


def names_of(widget: QWidget) -> str:
    interface = QAccessible.queryAccessibleInterface(widget)
    return str(interface.text(QAccessible.Text.Name)) if interface else ""


def walk(qtbot: QtBot, root: QWidget, many: int) -> set[QWidget]:
    """Widgets that have the keyboard at some time while Tab is pressed ``many`` times."""
    seen: set[QWidget] = set()
    for _ in range(many):
        widget = QApplication.focusWidget()
        if widget is None:
            widget = root
        seen.add(widget)
        # A page to read keeps Tab for its links; Ctrl+Tab leaves it, as in any text.
        inside = isinstance(widget, QTextBrowser)
        keys = Qt.KeyboardModifier.ControlModifier if inside else Qt.KeyboardModifier.NoModifier
        QTest.keyClick(widget, Qt.Key.Key_Tab, keys)
    return seen


def test_every_control_of_every_page_has_a_name_and_is_high_enough_for_a_cold_hand(
    window: MainWindow, subtests: pytest.Subtests
) -> None:
    """And no letter of a page takes that of a menu or of its neighbour."""
    assert window.desk is not None
    for name in PAGES:
        window.desk.go_to(name)
        QApplication.processEvents()
        controls = controls_of(window)
        with subtests.test("names", page=name):
            assert [widget for widget in controls if not names_of(widget).strip()] == []
        with subtests.test("heights", page=name):
            for widget in controls:
                if isinstance(widget, CONTROLS) and not isinstance(
                    widget.parentWidget(), QAbstractItemView
                ):
                    assert widget.height() >= SMALLEST_TARGET, names_of(widget)
        with subtests.test("letters", page=name):
            letters_differ(window, window.desk.page(name))


@pytest.mark.parametrize("name", ["picks", "places", "crops"])
def test_tab_comes_by_every_control(qtbot: QtBot, window: MainWindow, name: str) -> None:
    assert window.desk is not None
    window.resize(1366, 900)
    window.desk.go_to(name)
    QApplication.processEvents()
    page = window.desk.page(name)
    wanted = set(controls_of(page))
    seen = walk(qtbot, window, 4 * len(controls_of(window)))
    missed = [(type(w).__name__, names_of(w)) for w in wanted - seen]
    assert missed == []


@pytest.mark.long
def test_dialogs_name_their_controls(qtbot: QtBot, window: MainWindow) -> None:
    assert window.session is not None
    batch_id = next(iter(window.session.season.book.batches))
    pear = pick(window.session, "anjou", warm=True)
    units = Units(window.session.words, "N")
    line = lines_of(window.session, "pawpaw", units)["storage.life.0.days"]
    settled = next(d.id for d in window.session.season.book.market_days.values() if d.settled_at)
    logged = next(log.place_id for log in window.session.season.book.temperature_logs.values())
    for dialog in (
        LogListDialog(window.session, logged, window),
        SettleDialog(window.session, settled, window),
        SecondGradeDialog(window.session, window),
        ExpectedPicksDialog(window.session, window),
        ExpectedPickDialog(window.session, None, window),
        FigureDialog(window.session, "pawpaw", line, units, window),
        CopyCropDialog(window.session, "pawpaw", window),
        EthyleneDialog(window.session, pear, window),
        BatchDialog(window.session, batch_id, window),
        LabelDialog(window.session, [batch_id], window),
        PaperDialog(window.session, "Card", "card", lambda _device: None, window),
        OrchardDialog(window.session, window),
        NewSeasonDialog(window),
    ):
        dialog.show()
        QApplication.processEvents()
        nameless = [widget for widget in controls_of(dialog) if not names_of(widget).strip()]
        assert nameless == []
        dialog.close()


def test_no_letter_of_published_statements_takes_that_of_a_neighbour(
    qtbot: QtBot, window: MainWindow
) -> None:
    assert window.desk is not None
    window.desk.go_to("crops", "pawpaw")
    page = window.desk.page("crops")
    assert isinstance(page, CropsPage)
    published = page.view.published
    page.view.tabs.setCurrentWidget(published)
    qtbot.waitUntil(published.only_missed.isVisible, timeout=20_000)
    letters_differ(window, page)
    nameless = [widget for widget in controls_of(page) if not names_of(widget).strip()]
    assert nameless == []
    window.appearance.set_text_percent(150)
    window.resize(800, 600)
    QApplication.processEvents()
    assert (window.width(), window.height()) == (800, 600)


def letters_differ(window: MainWindow, page: QWidget) -> None:
    """Check the letters of a page, and of the menus above it."""
    menus = {letter_of(action.text()) for action in window.menuBar().actions()}
    texts = [
        widget.text()
        for widget in page.findChildren(QWidget)
        if isinstance(widget, QAbstractButton | QLabel) and widget.isVisible()
        if not isinstance(widget, QLabel) or widget.buddy() is not None
    ]
    for tabs in page.findChildren(QTabBar):
        texts += [tabs.tabText(n) for n in range(tabs.count())]
    letters = [letter for text in texts if (letter := letter_of(text))]
    assert not menus & set(letters)
    assert len(letters) == len(set(letters)), letters


def test_no_page_asks_for_more_than_a_small_window_in_large_letters(
    window: MainWindow, subtests: pytest.Subtests
) -> None:
    window.appearance.set_text_percent(150)
    window.resize(800, 600)
    assert window.desk is not None
    for name in PAGES:
        window.desk.go_to(name)
        QApplication.processEvents()
        with subtests.test(page=name):
            assert (window.width(), window.height()) == (800, 600)


def letter_of(text: str) -> str:
    """The letter that is pressed with Alt."""
    return QKeySequence.mnemonic(text).toString()
