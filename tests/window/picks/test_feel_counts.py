"""Hand-feel counts, typed in one line or in five boxes."""

from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.feel_text import parse_feel_counts
from ripenroom.window.picks.feel_counts import FeelCountsInput, written


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
