"""Sort and filter, by keyboard, remembered."""

from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.queue.controls import QueueControls


def shown(qtbot: QtBot, settings: QSettings) -> QueueControls:
    controls = QueueControls(settings)
    qtbot.addWidget(controls)
    controls.offer(["Pawpaw", "European pear", "Pawpaw"], ["Cold room", ""])
    controls.show()
    return controls


def test_every_control_has_a_name_and_takes_the_keyboard(qtbot: QtBot, settings: QSettings) -> None:
    controls = shown(qtbot, settings)
    combos, buttons = controls.findChildren(QComboBox), controls.findChildren(QPushButton)
    assert all(combo.accessibleName() for combo in combos)
    assert all(button.accessibleName() or button.text() for button in buttons)
    for control in (*combos, *buttons):
        assert control.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_choosing_by_keyboard_changes_the_filter(qtbot: QtBot, settings: QSettings) -> None:
    controls = shown(qtbot, settings)
    with qtbot.waitSignal(controls.changed):
        QTest.keyClick(controls.crop, Qt.Key.Key_Down)
    assert controls.keep() == Filter("European pear", None, Shown.LEFT)


def test_the_order_is_remembered(qtbot: QtBot, settings: QSettings) -> None:
    before = shown(qtbot, settings)
    QTest.keyClick(before.sort, Qt.Key.Key_Down)
    assert shown(qtbot, settings).sort_by() is SortBy.OPENS


def test_an_unknown_order_in_the_settings_does_no_harm(qtbot: QtBot, settings: QSettings) -> None:
    settings.setValue("queue/sort", "colour")
    assert shown(qtbot, settings).sort_by() is SortBy.CLOSES


def test_a_choice_stays_while_it_is_offered(qtbot: QtBot, settings: QSettings) -> None:
    controls = shown(qtbot, settings)
    controls.crop.setCurrentIndex(2)
    controls.offer(["Avocado", "Pawpaw"], ["Cold room"])
    assert controls.keep().crop == "Pawpaw"
    controls.offer(["Avocado"], ["Cold room"])
    assert controls.keep().crop is None


def test_everything_at_one_press(qtbot: QtBot, settings: QSettings) -> None:
    controls = shown(qtbot, settings)
    controls.crop.setCurrentIndex(1)
    controls.place.setCurrentIndex(1)
    with qtbot.waitSignal(controls.changed):
        controls.show_everything()
    assert controls.keep() == Filter(None, None, Shown.ALL)
