"""From no season to the first pick, by keys alone and without opening a list."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window import main_window
from ripenroom.window.forms.cultivar import CropSearch, CultivarDialog
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.picks.page import PicksPage


class Keys:
    """Presses keys where the keyboard is, and counts them."""

    def __init__(self) -> None:
        self.pressed = 0

    def __call__(self, keys: str | Qt.Key) -> None:
        for key in keys if isinstance(keys, str) else (keys,):
            widget: QWidget | None = QApplication.activePopupWidget() or QApplication.focusWidget()
            assert widget is not None
            if isinstance(key, str):
                QTest.keyClicks(widget, key)
            else:
                QTest.keyClick(widget, key)
            self.pressed += 1


def test_the_first_pick_takes_few_keys(
    qtbot: QtBot, empty_window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, keys = empty_window, Keys()
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "new.ripenroom"), "")
    )

    def filled_in(dialog: QDialog) -> int:
        assert isinstance(dialog, NewSeasonDialog)
        dialog.show()
        dialog.activateWindow()
        qtbot.waitUntil(dialog.isActiveWindow)
        keys("paw")
        keys(Qt.Key.Key_Return)  # what is found
        keys(Qt.Key.Key_Return)  # begin; where to keep it takes one more
        return dialog.result()

    monkeypatch.setattr(main_window, "ask", filled_in)
    window.new_season()
    assert window.session is not None
    assert window.desk is not None
    window.desk.go_to("picks")
    page = window.desk.page("picks")
    assert isinstance(page, PicksPage)
    window.activateWindow()
    qtbot.waitUntil(page.form.fields.feel.line.hasFocus)
    keys("0 9 0 0")
    keys(Qt.Key.Key_Return)
    (batch,) = window.session.season.book.batches.values()
    assert (batch.crop, batch.count) == ("pawpaw", 9)
    assert keys.pressed == 13


def test_crops_chosen_for_a_season_come_first_wherever_a_crop_is_chosen(
    qtbot: QtBot, empty_window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def begun(dialog: QDialog) -> int:
        assert isinstance(dialog, NewSeasonDialog)
        dialog.grows.add("pawpaw")
        dialog.grows.add("peach")
        dialog.begin_at(tmp_path / "new.ripenroom")
        return dialog.result()

    monkeypatch.setattr(main_window, "ask", begun)
    empty_window.new_season()
    session = empty_window.session
    assert session is not None
    form = MarketDayDialog(session)
    qtbot.addWidget(form)
    form.more.click()
    assert [row.crop.value() for row in form.rows] == ["pawpaw", "peach"]
    search = CropSearch(session)
    qtbot.addWidget(search)
    assert [search.itemText(n) for n in range(2)] == ["Pawpaw", "Peach and nectarine"]
    cultivar = CultivarDialog(session, None)
    qtbot.addWidget(cultivar)
    assert [cultivar.crop.itemText(n) for n in range(2)] == ["Pawpaw", "Peach and nectarine"]
