"""Copying a crop."""

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.window.crops.copy_dialog import CopyCropDialog, key_of
from ripenroom.window.session import Session


@pytest.fixture
def dialog(qtbot: QtBot, session: Session) -> CopyCropDialog:
    made = CopyCropDialog(session, "pawpaw")
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_copy_is_a_crop_of_the_seasons_own(session: Session, dialog: CopyCropDialog) -> None:
    season = session.season
    dialog.accept()
    assert dialog.made == "pawpaw_own"
    made = season.crops["pawpaw_own"]
    assert made.name == "Pawpaw, own"
    assert made.letter == season.free_crop_letters()[0] or made.letter not in {
        crop.letter for key, crop in season.crops.items() if key != "pawpaw_own"
    }
    assert made.firmness == season.crops["pawpaw"].firmness
    season.undo()
    assert "pawpaw_own" not in season.crops


def test_the_key_follows_the_name_until_it_is_typed(dialog: CopyCropDialog) -> None:
    dialog.name.clear()
    QTest.keyClicks(dialog.name, "North field")
    assert dialog.key.text() == "north_field"
    dialog.key.clear()
    QTest.keyClicks(dialog.key, "nf")
    QTest.keyClicks(dialog.name, " 2")
    assert dialog.key.text() == "nf"


@pytest.mark.parametrize(
    ("field", "typed", "why"),
    [("key", "pear", "already"), ("key", "Not A Key", "lower-case"), ("name", "", "some text")],
)
def test_what_cannot_be_is_said_at_its_field(
    session: Session, dialog: CopyCropDialog, field: str, typed: str, why: str
) -> None:
    getattr(dialog, field).setText(typed)
    dialog.accept()
    assert dialog.isVisible()
    assert why in dialog.board.fields[field].note.text
    assert session.season.own_crop_keys == frozenset()


@pytest.mark.parametrize(
    ("name", "key"),
    [("Pawpaw, own", "pawpaw_own"), ("Äpfel 2", "apfel_2"), ("2 pears", "pears"), ("柿", "")],
)
def test_keys_of_names(name: str, key: str) -> None:
    assert key_of(name) == key
