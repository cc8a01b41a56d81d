"""A logger's file in words."""

import pytest

from ripenroom.exchange.logger_file.understanding import (
    Fault,
    LeftOutLines,
    LoggerClock,
    Role,
    left_out_words,
)
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.window.places.logs.file_reading import (
    clock_name,
    role_name,
    step_words,
)
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_words import order_name
from ripenroom.wording.formats import Formats


@pytest.fixture
def words(session: Session) -> Formats:
    return Formats("en_GB", session.season.book.season, session.season.zone)


def test_every_choice_has_a_name_of_its_own() -> None:
    for names in (
        [role_name(role) for role in Role],
        [order_name(order) for order in DateOrder],
        [clock_name(clock) for clock in LoggerClock],
    ):
        assert len(set(names)) == len(names)
        assert all(names)


@pytest.mark.parametrize("fault", Fault)
def test_what_is_left_out_is_counted_and_found(fault: Fault, words: Formats) -> None:
    told = left_out_words(LeftOutLines(fault, 12, (3, 4, 9)), words)
    assert told.endswith(": 12 (lines 3, 4, 9 …)")
    assert left_out_words(LeftOutLines(fault, 1, (3,)), words).endswith(": 1 (line 3)")


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(10.0, "10 s"), (60.0, "1 min"), (900.0, "15 min"), (3600.0, "1 h"), (5400.0, "1.5 h")],
)
def test_steps(seconds: float, said: str, words: Formats) -> None:
    assert step_words(seconds, words) == said
