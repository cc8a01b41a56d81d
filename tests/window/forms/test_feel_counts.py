"""Hand-feel counts, typed in one line or in five boxes."""

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.entry import parse_feel_counts
from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.firmness_inputs import FeelCountsInput, written


def test_the_shortest_line_means_the_same() -> None:
    for counts in ((3, 9, 6, 2, 0), (0, 0, 0, 0, 4)):
        assert parse_feel_counts(written(counts)) == counts


def test_line_and_boxes_follow_each_other(qtbot: QtBot) -> None:
    feel = FeelCountsInput()
    qtbot.addWidget(feel.field)
    QTest.keyClicks(feel.line, "3 9 6")
    assert [box.text() for box in feel.boxes] == ["3", "9", "6", "", ""]
    QTest.keyClicks(feel.boxes[4], "2")
    assert feel.line.text() == "3 9 6 0 2"
    assert feel.counts() == (3, 9, 6, 0, 2)
    for box in feel.boxes:
        box.selectAll()
        QTest.keyClicks(box, "\b")
    assert feel.line.text() == ""


def test_fruit_that_is_looked_at_is_refused_in_its_own_words(qtbot: QtBot) -> None:
    feel = FeelCountsInput()
    qtbot.addWidget(feel.field)
    tomato = shipped_profiles()["tomato"]
    for typed, of_feel in (("4 3", "slight give"), ("4 a 3 1", "Hand feel")):
        feel.set_text(typed)
        feel.show_crop(None)
        with pytest.raises(Refusal) as felt:
            feel.counts()
        assert of_feel in felt.value.message
        feel.show_crop(tomato)
        with pytest.raises(Refusal) as seen:
            feel.counts()
        assert of_feel not in seen.value.message
        assert seen.value.message.startswith("Color: ")
    feel.set_text("4 3")
    with pytest.raises(Refusal, match=", ".join(tomato.feel.names[:4])):
        feel.counts()
