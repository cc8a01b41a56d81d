"""A moment that is now until it is touched."""

from datetime import UTC, datetime, timedelta

from PySide6.QtCore import QDateTime
from pytestqt.qtbot import QtBot

from ripenroom.window.session import Session
from ripenroom.window.widgets.when import WhenEdit


def test_it_is_now_until_it_is_touched(qtbot: QtBot, session: Session) -> None:
    when = WhenEdit(session)
    qtbot.addWidget(when)
    assert when.follows_now
    assert when.moment() == session.season.now()
    with qtbot.waitSignal(when.edited):
        when.edit.setDateTime(when.edit.dateTime().addSecs(-3600))
    assert not when.follows_now
    assert when.moment() == session.season.now() - timedelta(hours=1)
    when.now_button.click()
    assert when.follows_now


def test_seconds_that_are_not_shown_are_kept(qtbot: QtBot, session: Session) -> None:
    when = WhenEdit(session)
    qtbot.addWidget(when)
    exact = datetime(2026, 9, 20, 7, 31, 42, tzinfo=UTC)
    when.set_moment(exact)
    assert when.moment() == exact
    shown: QDateTime = when.edit.dateTime()
    when.edit.setDateTime(shown.addSecs(60))
    assert when.moment() == datetime(2026, 9, 20, 7, 32, tzinfo=UTC)


def test_text_that_is_no_moment_means_now(qtbot: QtBot, session: Session) -> None:
    when = WhenEdit(session)
    qtbot.addWidget(when)
    when.set_moment(datetime(2026, 9, 20, 7, 31, tzinfo=UTC))
    when.restore("last Tuesday")
    assert when.follows_now
