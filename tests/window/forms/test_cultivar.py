"""What is chosen by typing is what is stored."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.batch import Batch
from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.window.forms.cultivar import CropSearch, CultivarDialog
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.inputs import TypedLine


@pytest.fixture
def own(session: Session) -> Cultivar:
    made = Cultivar(id="own", crop="pawpaw", name="Éva's big")
    session.season.do(actions.orchard.save_cultivar, made)
    return made


class Form(QWidget):
    def __init__(self, session: Session) -> None:
        super().__init__()
        self.crop = CropSearch(session)
        self.other = TypedLine()
        self.field = Field("&Crop", self.crop)
        layout = QVBoxLayout(self)
        layout.addWidget(self.field)
        layout.addWidget(self.other)


@pytest.fixture
def form(qtbot: QtBot, session: Session, own: Cultivar) -> Form:
    made = Form(session)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    QTest.keyClick(made, Qt.Key.Key_C, Qt.KeyboardModifier.AltModifier)
    assert made.crop.hasFocus()
    return made


def offered(crop: CropSearch) -> list[str]:
    popup = crop.found.popup()
    assert popup is not None
    assert popup.isVisible()
    model = popup.model()
    return [model.index(row, 0).data() for row in range(model.rowCount())]


def press(crop: CropSearch, *keys: Qt.Key) -> None:
    for key in keys:
        popup = crop.found.popup()
        assert popup is not None
        QTest.keyClick(popup if popup.isVisible() else crop, key)


def test_the_name_of_a_cultivar_of_ones_own_is_typed_without_its_accents(
    form: Form, own: Cultivar
) -> None:
    QTest.keyClicks(form.crop, "eva")
    assert offered(form.crop)[0] == "Pawpaw · Éva's big"
    press(form.crop, Qt.Key.Key_Return)
    assert form.crop.value() == ("pawpaw", own.id)
    assert form.crop.currentText() == "Pawpaw · Éva's big"


def test_a_crop_that_is_typed_in_full_is_that_crop(form: Form) -> None:
    QTest.keyClicks(form.crop, "pawpaw")
    press(form.crop, Qt.Key.Key_Tab)
    assert form.crop.value() == ("pawpaw", None)
    assert form.crop.currentText() == "Pawpaw"


def test_arrows_go_to_another_one(form: Form) -> None:
    QTest.keyClicks(form.crop, "pawpaw")
    second = offered(form.crop)[1]
    press(form.crop, Qt.Key.Key_Down, Qt.Key.Key_Return)
    assert form.crop.currentText() == second


def test_a_click_on_what_is_found_takes_it(form: Form, own: Cultivar) -> None:
    QTest.keyClicks(form.crop, "big")
    popup = form.crop.found.popup()
    assert popup is not None
    spot = popup.visualRect(popup.model().index(0, 0)).center()
    QTest.mouseClick(popup.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert form.crop.value() == ("pawpaw", own.id)


def test_a_part_that_finds_something_becomes_its_name_when_the_line_is_left(form: Form) -> None:
    QTest.keyClicks(form.crop, "avoc")
    press(form.crop, Qt.Key.Key_Escape)
    form.other.setFocus()
    assert form.crop.currentText().startswith("Avocado")
    value = form.crop.chosen()
    assert value is not None
    assert value[0] == "avocado"


def test_what_finds_nothing_is_said_and_chooses_nothing(form: Form) -> None:
    QTest.keyClicks(form.crop, "moonfruit")
    press(form.crop, Qt.Key.Key_Escape)
    form.other.setFocus()
    assert form.crop.value() is None
    assert form.crop.currentText() == "moonfruit"
    assert "moonfruit" in form.field.note.text
    form.crop.setFocus()
    QTest.keyClicks(form.crop, "fig")
    press(form.crop, Qt.Key.Key_Return)
    assert form.field.note.isHidden()
    assert form.crop.value() == ("fig", None)


def test_an_emptied_line_changes_nothing(form: Form) -> None:
    form.crop.choose(("fig", None))
    form.crop.clearEditText()
    form.other.setFocus()
    assert form.crop.value() == ("fig", None)
    assert form.crop.currentText() == "Fig"


@pytest.mark.parametrize("typed", ["aguacate", "avocado"])
def test_a_built_in_crop_is_found_by_its_name_in_either_language(
    in_spanish: None, form: Form, typed: str
) -> None:
    QTest.keyClicks(form.crop, typed)
    assert offered(form.crop)[0] == "Aguacate"
    press(form.crop, Qt.Key.Key_Return)
    assert form.crop.value() == ("avocado", None)
    assert form.crop.currentText() == "Aguacate"


def test_a_new_cultivar_is_added_from_there(form: Form, session: Session) -> None:
    QTest.keyClicks(form.crop, "pawpaw Sunflower")
    (add,) = offered(form.crop)
    assert add == "Add “pawpaw Sunflower” as a new cultivar…"
    press(form.crop, Qt.Key.Key_Return)
    dialog = form.findChild(CultivarDialog)
    assert dialog is not None
    assert (dialog.name.text(), dialog.crop.value()) == ("Sunflower", "pawpaw")
    dialog.action_button.click()
    made = next(c for c in session.season.book.cultivars.values() if c.name == "Sunflower")
    assert made.crop == "pawpaw"
    assert form.crop.value() == ("pawpaw", made.id)


def test_a_pick_is_stored_as_the_crop_that_was_typed(
    qtbot: QtBot, session: Session, own: Cultivar
) -> None:
    form = PickForm(session)
    qtbot.addWidget(form)
    form.show()
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    before = set(session.season.book.batches)
    crop = form.fields.crop
    crop.setFocus()
    QTest.keyClicks(crop, "pawpaw")
    press(crop, Qt.Key.Key_Return)
    assert set(session.season.book.batches) == before  # Enter took the name, and added nothing
    form.focus_counts()
    widget = QApplication.focusWidget()
    assert widget is not None
    QTest.keyClicks(widget, "0 9 0 0")
    QTest.keyClick(widget, Qt.Key.Key_Return)
    made: list[Batch] = [b for i, b in session.season.book.batches.items() if i not in before]
    assert [(b.crop, b.cultivar_id, b.count) for b in made] == [("pawpaw", None, 9)]


def test_a_pick_of_nothing_known_is_refused_at_the_crop(qtbot: QtBot, session: Session) -> None:
    form = PickForm(session)
    qtbot.addWidget(form)
    form.show()
    before = set(session.season.book.batches)
    QTest.keyClicks(form.fields.crop, "moonfruit")
    form.fields.count.setText("12")
    form.add()
    assert set(session.season.book.batches) == before
    assert form.fields.fields["crop"].note.text != ""


def test_the_pawpaws_of_the_farm_are_offered_before_its_other_crops(
    form: Form, session: Session
) -> None:
    names = [form.crop.itemText(n) for n in range(form.crop.count())]
    own = len(session.season.book.cultivars)
    crops = list(dict.fromkeys(name.partition(" · ")[0] for name in names[:own]))
    assert crops == ["Pawpaw", "Avocado", "Pear"]
    assert names[own : own + 3] == ["Pawpaw", "Avocado", "Pear"]


def test_a_well_known_cultivar_finds_its_crop_and_can_be_added(
    qtbot: QtBot, form: Form, session: Session
) -> None:
    crop = form.crop
    crop.setFocus()
    QTest.keyClicks(crop, "hachiya")
    assert offered(crop) == ["Persimmon, astringent", "Add “hachiya” as a new cultivar…"]
    press(crop, Qt.Key.Key_Down, Qt.Key.Key_Return)
    dialog = next(w for w in QApplication.topLevelWidgets() if isinstance(w, CultivarDialog))
    assert (dialog.name.text(), dialog.crop.value()) == ("hachiya", "persimmon_astringent")
    dialog.reject()
