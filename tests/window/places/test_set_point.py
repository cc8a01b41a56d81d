"""Trying, setting and dropping a set point."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QStyle, QStyleOptionSlider
from pytestqt.qtbot import QtBot

from ripenroom.records.season import SeasonDetails
from ripenroom.units import TemperatureUnit, celsius
from ripenroom.window.places.set_point import SetPointControl
from ripenroom.wording.formats import Formats


@pytest.fixture
def us_words() -> Formats:
    season = SeasonDetails(
        id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
        name="Test farm",
        zone="America/New_York",
        first_day=date(2026, 8, 1),
        units="us",
        currency="USD",
    )
    return Formats("en_US", season, ZoneInfo(season.zone))


@pytest.fixture
def control(qtbot: QtBot) -> SetPointControl:
    return shown(qtbot, "C", 3.0)


@pytest.fixture
def us_control(qtbot: QtBot) -> SetPointControl:
    return shown(qtbot, "F", 14.0)


def shown(qtbot: QtBot, unit: TemperatureUnit, set_c: float) -> SetPointControl:
    made = SetPointControl("Cold room", unit)
    qtbot.addWidget(made)
    made.resize(420, 60)
    made.set_celsius(set_c)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    made.slider.setFocus()
    return made


def test_showing_what_is_set_tries_nothing(qtbot: QtBot, control: SetPointControl) -> None:
    with qtbot.assertNotEmitted(control.tried):
        control.set_celsius(8.0)
    assert control.box.value() == 8.0


def test_arrows_try_and_enter_sets(qtbot: QtBot, control: SetPointControl) -> None:
    with qtbot.waitSignal(control.tried) as tried, qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Right)
    assert tried.args == [3.5]
    assert control.box.value() == 3.5
    with qtbot.waitSignal(control.settled) as settled:
        QTest.keyClick(control.slider, Qt.Key.Key_Return)
    assert settled.args == [3.5]


def test_escape_goes_back(qtbot: QtBot, control: SetPointControl) -> None:
    QTest.keyClick(control.slider, Qt.Key.Key_Right)
    with qtbot.waitSignal(control.dropped), qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Escape)
    assert control.box.value() == 3.0
    with qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Return)


def handle(control: SetPointControl) -> QPoint:
    """The middle of the slider's handle."""
    option = QStyleOptionSlider()
    control.slider.initStyleOption(option)
    style = control.slider.style()
    part = QStyle.SubControl.SC_SliderHandle
    return style.subControlRect(
        QStyle.ComplexControl.CC_Slider, option, part, control.slider
    ).center()


def test_dragging_tries_and_letting_go_sets(qtbot: QtBot, control: SetPointControl) -> None:
    begin = handle(control)
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(control.slider, left, pos=begin)
    with qtbot.waitSignal(control.tried), qtbot.assertNotEmitted(control.settled):
        QTest.mouseMove(control.slider, begin + QPoint(60, 0))
    with qtbot.waitSignal(control.settled) as settled:
        QTest.mouseRelease(control.slider, left, pos=begin + QPoint(60, 0))
    assert settled.args[0] > 3.0


def test_escape_while_dragging_lets_nothing_through(qtbot: QtBot, control: SetPointControl) -> None:
    begin = handle(control)
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(control.slider, left, pos=begin)
    QTest.mouseMove(control.slider, begin + QPoint(60, 0))
    assert control.is_trying
    with qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Escape)
        QTest.mouseMove(control.slider, begin + QPoint(80, 0))
        QTest.mouseRelease(control.slider, left, pos=begin + QPoint(80, 0))
    assert control.box.value() == 3.0
    assert not control.is_trying


def test_clicking_beside_the_handle_sets(qtbot: QtBot, control: SetPointControl) -> None:
    with qtbot.waitSignal(control.settled) as settled:
        QTest.mouseClick(
            control.slider, Qt.MouseButton.LeftButton, pos=handle(control) + QPoint(80, 0)
        )
    assert settled.args == [5.0]


def test_leaving_the_slider_drops_what_was_only_tried(
    qtbot: QtBot, control: SetPointControl
) -> None:
    QTest.keyClick(control.slider, Qt.Key.Key_Right)
    with qtbot.waitSignal(control.dropped), qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Tab)
    assert control.box.value() == 3.0


def test_coming_back_to_what_is_set_changes_nothing(qtbot: QtBot, control: SetPointControl) -> None:
    QTest.keyClick(control.slider, Qt.Key.Key_Right)
    QTest.keyClick(control.slider, Qt.Key.Key_Left)
    with qtbot.waitSignal(control.dropped), qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Return)


def test_a_typed_set_point_is_set_by_enter(qtbot: QtBot, control: SetPointControl) -> None:
    control.box.setFocus()
    control.box.selectAll()
    QTest.keyClicks(control.box, "7.5")
    with qtbot.waitSignal(control.settled) as settled:
        QTest.keyClick(control.box, Qt.Key.Key_Return)
    assert settled.args == [7.5]


def test_a_set_point_under_trial_is_not_taken_from_the_hand(
    qtbot: QtBot, control: SetPointControl
) -> None:
    QTest.keyClick(control.slider, Qt.Key.Key_Right)
    control.set_celsius(3.0)
    assert control.box.value() == 3.5
    control.drop()
    assert control.box.value() == 3.0


def test_a_number_is_tried_as_it_is_typed(qtbot: QtBot, control: SetPointControl) -> None:
    line = control.box.lineEdit()
    line.setFocus()
    line.selectAll()
    with qtbot.waitSignal(control.tried) as tried, qtbot.assertNotEmitted(control.settled):
        QTest.keyClicks(line, "12")
    assert tried.args == [1.0]
    assert control.slider.value() == control.steps.of_shown(12.0)
    assert line.text().startswith("12")  # not rounded under the hand


def test_undo_in_the_box_ends_a_trial(qtbot: QtBot, control: SetPointControl) -> None:
    line = control.box.lineEdit()
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, "7")
    assert control.is_trying
    with qtbot.waitSignal(control.dropped), qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert control.box.value() == 3.0


def type_over(control: SetPointControl, text: str) -> None:
    control.box.setFocus()
    control.box.selectAll()
    QTest.keyClicks(control.box, text)


@pytest.mark.parametrize("typed", ["200", "-9"])
def test_a_number_out_of_range_is_refused_in_words(
    qtbot: QtBot, control: SetPointControl, typed: str
) -> None:
    type_over(control, typed)
    assert control.box.text() == f"{typed} °C"
    with qtbot.waitSignal(control.misread) as said, qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.box, Qt.Key.Key_Return)
    assert said.args == ["Type a temperature from -2 to 40 °C."]
    assert control.box.value() == 3.0


def test_a_number_on_the_way_to_another_is_no_fault(qtbot: QtBot, control: SetPointControl) -> None:
    with qtbot.assertNotEmitted(control.misread), qtbot.waitSignal(control.settled) as settled:
        type_over(control, "-")
        QTest.keyClicks(control.box, "1")
        QTest.keyClick(control.box, Qt.Key.Key_Return)
    assert settled.args == [-1.0]


def test_escape_takes_back_what_cannot_be_set(qtbot: QtBot, control: SetPointControl) -> None:
    type_over(control, "200")
    with qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.box, Qt.Key.Key_Escape)
    assert control.box.text() == "3.0 °C"


def test_undo_on_the_slider_ends_a_trial(qtbot: QtBot, control: SetPointControl) -> None:
    QTest.keyClick(control.slider, Qt.Key.Key_Right)
    with qtbot.waitSignal(control.dropped), qtbot.assertNotEmitted(control.settled):
        QTest.keyClick(control.slider, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert not control.is_trying
    assert control.slider.value() == control.steps.of_celsius(3.0)


def test_what_cannot_be_set_is_not_tried_and_says_so_while_it_is_typed(
    qtbot: QtBot, control: SetPointControl
) -> None:
    type_over(control, "12")
    assert control.is_trying
    with qtbot.waitSignal(control.dropped), qtbot.waitSignal(control.misread) as said:
        QTest.keyClicks(control.box, "0")
    assert said.args == ["Type a temperature from -2 to 40 °C."]
    assert not control.is_trying
    assert control.box.text() == "120 °C"
    # Without the last digit it is what it was, although Qt tells of no change.
    with qtbot.waitSignal(control.tried) as tried:
        QTest.keyClick(control.box, Qt.Key.Key_Backspace)
    assert tried.args == [12.0]
    with qtbot.waitSignal(control.settled) as settled:
        QTest.keyClick(control.box, Qt.Key.Key_Return)
    assert settled.args == [12.0]


def test_a_first_digit_that_is_too_low_is_no_fault_yet(
    qtbot: QtBot, us_control: SetPointControl
) -> None:
    us_control.set_celsius(5.0)
    with qtbot.assertNotEmitted(us_control.misread):
        type_over(us_control, "4")
        assert not us_control.is_trying
        QTest.keyClicks(us_control.box, "5")
    assert us_control.is_trying
    with qtbot.waitSignal(us_control.misread):
        QTest.keyClicks(us_control.box, "5")
    assert not us_control.is_trying


def test_what_is_set_between_two_steps_reads_as_elsewhere(
    qtbot: QtBot, us_control: SetPointControl, us_words: Formats
) -> None:
    for set_c in (14.0, 5.0, 3.3, 14.0):
        us_control.set_celsius(set_c)
        assert us_control.box.text() == us_words.set_point(set_c)
    with qtbot.assertNotEmitted(us_control.settled):
        us_control.box.setFocus()
        QTest.keyClick(us_control.box, Qt.Key.Key_Tab)
    assert us_control.box.text() == "57.2 °F"
    # The whole degree beside it is another temperature, and can be set.
    type_over(us_control, "57")
    with qtbot.waitSignal(us_control.settled) as settled:
        QTest.keyClick(us_control.box, Qt.Key.Key_Return)
    assert settled.args == [pytest.approx(celsius(57.0, "F"))]


def test_what_cannot_be_set_leaves_what_lies_between_two_steps(
    qtbot: QtBot, us_control: SetPointControl
) -> None:
    for leave in (Qt.Key.Key_Return, Qt.Key.Key_Tab):
        type_over(us_control, "415")
        with qtbot.assertNotEmitted(us_control.settled):
            QTest.keyClick(us_control.box, leave)
        assert us_control.box.text() == "57.2 °F"
        assert not us_control.is_trying
