"""A line is selected, and crates of it, through every new scene."""

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.selection import SelectingPicture
from ripenroom.wording.formats import Formats
from tests.window.queue.conftest import line, pulled_line

MakePlanned = Callable[..., Scene]
SOON, LATE = pulled_line("batch-1", 1, crates=3), line("batch-1", market_day_id="day-9")


@pytest.fixture
def picture(qtbot: QtBot, make_planned: MakePlanned, words: Formats) -> SelectingPicture:
    made = SelectingPicture()
    qtbot.addWidget(made)
    made.resize(1100, 500)
    made.show()
    made.set_scene(make_planned(3, SOON, LATE), words)
    return made


def test_a_batch_is_selected_with_the_first_of_its_crates(
    qtbot: QtBot, picture: SelectingPicture
) -> None:
    with qtbot.waitSignal(picture.pointed) as told:
        picture.select_batch("batch-1")
    assert told.args == [picture.words_of_selected()]
    chosen = picture.chosen_way()
    assert chosen is not None
    assert chosen.line == SOON
    assert picture.subject_of(chosen) == "P-0921-2, 3 crates"
    picture.choose_next_way()
    again = picture.chosen_way()
    assert again is not None
    assert again.line == LATE


def test_the_crates_stay_chosen_in_a_new_plan(
    picture: SelectingPicture, make_planned: MakePlanned, words: Formats
) -> None:
    picture.select_batch("batch-1")
    picture.choose_next_way()
    other = line("batch-1", market_day_id="day-9", crates=2)
    picture.set_scene(make_planned(3, pulled_line("batch-1", 0), other), words)
    chosen = picture.chosen_way()
    assert chosen is not None
    assert chosen.line == other


def test_what_is_no_more_leaves_the_top_line_selected(
    picture: SelectingPicture, make_planned: MakePlanned, words: Formats
) -> None:
    picture.select_batch("batch-2")
    picture.set_scene(make_planned(2), words)
    assert picture.selected_batch() == "batch-0"
    assert picture.chosen_way() is None
    picture.choose_next_way()  # there are none to go to
    assert picture.chosen_way() is None


def test_nothing_is_selected_where_nothing_is(
    picture: SelectingPicture, make_planned: MakePlanned, words: Formats
) -> None:
    picture.set_scene(make_planned(0), words)
    assert picture.selected_batch() is None
    assert picture.selected_pick() is None
    assert picture.words_of_selected() == ""
