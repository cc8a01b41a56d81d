"""Hand-feel counts, typed in one line or in five boxes."""

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.window.picks.feel_counts import FeelCountsInput, parse_feel_counts, written


@pytest.mark.parametrize(
    ("typed", "counts"),
    [
        ("3 9 6 2", (3, 9, 6, 2, 0)),
        ("3 9 6 2 1", (3, 9, 6, 2, 1)),
        (" 0,9;6/2 ", (0, 9, 6, 2, 0)),
        ("", None),
        ("0 0 0 0", None),
    ],
)
def test_what_is_typed_is_read(typed: str, counts: tuple[int, ...] | None) -> None:
    assert parse_feel_counts(typed) == counts


@pytest.mark.parametrize(
    "typed", ["40", "1 2 3", "1 2 3 4 5 6", "3 9 six 2", "-3 9 6 2", "1.5 2 3 4"]
)
def test_anything_else_is_refused_with_what_to_do(typed: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse_feel_counts(typed)
    assert refused.value.field == "feel_counts"


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
