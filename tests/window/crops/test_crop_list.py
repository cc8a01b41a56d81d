"""The list of crops."""

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QStyleOptionViewItem
from pytestqt.qtbot import QtBot

from ripenroom.window.crops.crop_list import CropEntry, CropList
from ripenroom.window.style_sheet import SMALLEST_TARGET

ENTRIES = (
    CropEntry("apple", "Apple", ("dates only · built in",)),
    CropEntry("pawpaw", "Pawpaw", ("by firmness · own", "not tested yet")),
    CropEntry("pear", "Pear", ("by firmness · built in",)),
)


@pytest.fixture
def crops(qtbot: QtBot) -> CropList:
    made = CropList()
    qtbot.addWidget(made)
    made.show_entries(ENTRIES)
    made.resize(240, 400)
    made.show()
    return made


def seen(crops: CropList) -> list[str]:
    rows = range(crops.list.count())
    return [crops.list.item(n).text() for n in rows if not crops.list.item(n).isHidden()]


def test_the_first_crop_is_chosen_at_first(crops: CropList) -> None:
    assert crops.current() == "apple"


def test_arrow_keys_choose(qtbot: QtBot, crops: CropList) -> None:
    with qtbot.waitSignal(crops.chosen) as chosen:
        QTest.keyClick(crops.list, Qt.Key.Key_Down)
    assert chosen.args == ["pawpaw"]


def test_typing_filters_by_name_and_by_facts(crops: CropList) -> None:
    crops.finder.setText("firm own")
    assert seen(crops) == ["Pawpaw"]
    assert crops.current() == "pawpaw"
    crops.finder.setText("zzz")
    assert seen(crops) == []
    crops.finder.clear()
    assert len(seen(crops)) == 3


def test_choosing_a_hidden_crop_drops_the_filter(crops: CropList) -> None:
    crops.finder.setText("apple")
    crops.choose("pear")
    assert crops.current() == "pear"
    assert len(seen(crops)) == 3


def test_the_choice_stays_when_crops_change(crops: CropList) -> None:
    crops.choose("pear")
    crops.show_entries(ENTRIES[1:])
    assert crops.current() == "pear"
    crops.show_entries(ENTRIES[:2])
    assert crops.current() == "apple"


def test_facts_are_read_out_and_lines_can_be_hit(crops: CropList) -> None:
    item = crops.list.item(1)
    assert item.data(Qt.ItemDataRole.AccessibleTextRole) == (
        "Pawpaw, by firmness · own, not tested yet"
    )
    for row in range(3):
        assert crops.list.visualItemRect(crops.list.item(row)).height() >= SMALLEST_TARGET


def test_a_line_is_painted_with_its_facts(crops: CropList) -> None:
    before = crops.list.viewport().grab().toImage()
    crops.show_entries([CropEntry("apple", "Apple", ("other facts",)), *ENTRIES[1:]])
    assert crops.list.viewport().grab().toImage() != before
    option = QStyleOptionViewItem()
    index: QModelIndex = crops.list.model().index(1, 0)
    assert crops.list.itemDelegate().sizeHint(option, index).height() > SMALLEST_TARGET
