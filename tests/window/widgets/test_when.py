"""A moment that is now until it is touched."""

from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.window.session import Session
from ripenroom.window.widgets.when import WhenEdit


@pytest.fixture
def when(qtbot: QtBot, session: Session) -> WhenEdit:
    made = WhenEdit(session)
    qtbot.addWidget(made)
    return made


def test_it_is_now_until_it_is_touched(qtbot: QtBot, when: WhenEdit, session: Session) -> None:
    assert when.follows_now
    assert when.moment() == session.season.now()
    with qtbot.waitSignal(when.edited):
        QTest.keyClick(when.clock, Qt.Key.Key_PageDown)
    assert not when.follows_now
    assert when.moment() == session.season.now() - timedelta(hours=1)
    when.now_button.click()
    assert when.follows_now


def test_a_weekday_means_the_last_one(when: WhenEdit, session: Session) -> None:
    when.day.line.selectAll()
    QTest.keyClicks(when.day.line, "sat")
    assert when.moment() == session.season.now() - timedelta(days=5)


def test_seconds_that_are_not_shown_are_kept(when: WhenEdit) -> None:
    exact = datetime(2026, 9, 20, 7, 31, 42, tzinfo=UTC)
    when.set_moment(exact)
    assert when.moment() == exact
    QTest.keyClick(when.clock, Qt.Key.Key_Up)
    assert when.moment() == datetime(2026, 9, 20, 7, 46, tzinfo=UTC)


def test_text_that_is_no_moment_means_now(when: WhenEdit) -> None:
    when.set_moment(datetime(2026, 9, 20, 7, 31, tzinfo=UTC))
    when.restore("last Tuesday")
    assert when.follows_now


def test_what_is_no_day_is_refused_and_comes_back_with_the_draft(
    qtbot: QtBot, when: WhenEdit, session: Session
) -> None:
    when.day.line.selectAll()
    QTest.keyClicks(when.day.line, "soonish")
    with pytest.raises(Refusal) as refused:
        when.moment("picked_at")
    assert refused.value.field == "picked_at"
    again = WhenEdit(session)
    qtbot.addWidget(again)
    again.restore(when.state())
    assert again.texts() == when.texts()
    assert not again.follows_now


def test_a_kept_moment_comes_back(qtbot: QtBot, when: WhenEdit, session: Session) -> None:
    when.set_moment(datetime(2026, 9, 20, 7, 31, 42, tzinfo=UTC))
    again = WhenEdit(session)
    qtbot.addWidget(again)
    again.restore(when.state())
    assert again.moment() == when.moment()
