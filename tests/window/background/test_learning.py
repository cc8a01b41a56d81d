"""What checks teach is worked out beside the window, and taken in."""

import importlib
import threading
from datetime import timedelta

import pytest
from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.learned import Learned
from ripenroom.window.background.task import any_left
from ripenroom.window.main_window import MainWindow
from ripenroom.window.session import Session
from tests.window.planned import SLOW_MS

fitting = importlib.import_module("ripenroom.season.learning.fit")
"""The module, whose function of the same name hides it in its package."""

pytestmark = pytest.mark.usefixtures("worked_out_anew")


@pytest.fixture
def warm(session: Session) -> str:
    """A batch with fruit left that is worth a check."""
    return session.season.worth_checking()[0]


def check(session: Session, batch_id: str) -> str:
    season = session.season
    entry = CheckEntry(
        batch_id=batch_id,
        at=season.now() - timedelta(hours=1),
        feel_counts=(0, 1, 1, 0, 0),
        answered=frozenset({"surprise"}),
    )
    return season.do(actions.checks.add, entry).id


def idle(qtbot: QtBot, session: Session) -> None:
    qtbot.waitUntil(lambda: not session.learning.working, timeout=SLOW_MS)


def test_a_check_is_learned_from_without_asking(qtbot: QtBot, session: Session, warm: str) -> None:
    session.learning.begin()
    idle(qtbot, session)
    before = session.projection()
    check_id = check(session, warm)
    assert session.learning.working
    idle(qtbot, session)
    learned = session.season.learned
    assert learned is not None
    assert check_id in learned.checks
    line = before.line_of[warm]
    after = session.projection()
    assert after.opens_h.mid[after.line_of[warm]] != before.opens_h.mid[line] or (
        after.closes_h.mid[after.line_of[warm]] != before.closes_h.mid[line]
    )


def test_the_window_begins_to_learn_once_it_is_painted(qtbot: QtBot, window: MainWindow) -> None:
    session = window.session
    assert session is not None
    check_id = check(session, session.season.worth_checking()[0])
    qtbot.waitUntil(
        lambda: session.season.learned is not None and check_id in session.season.learned.checks,
        timeout=SLOW_MS,
    )


def test_what_teaches_nothing_is_not_learned_from_again(
    qtbot: QtBot, session: Session, warm: str
) -> None:
    check(session, warm)
    session.learning.begin()
    idle(qtbot, session)
    season = session.season
    season.do(actions.batches.take_out, warm, 1, "sold", season.now())
    assert not session.learning.working
    season.do(
        actions.moves.move, [warm], next(iter(season.book.places)), season.now() + timedelta(days=9)
    )
    assert session.learning.working
    idle(qtbot, session)


def test_a_change_meanwhile_is_learned_from_too(
    qtbot: QtBot, session: Session, warm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first fit is held back until the second check is written down, and then dropped."""
    go, real, began = threading.Event(), fitting.fit, threading.Event()

    def held(*args: object, **given: object) -> Learned:
        began.set()
        go.wait(10)
        found = real(*args, **given)
        assert isinstance(found, Learned)
        return found

    session.learning.begin()
    idle(qtbot, session)
    first = check(session, warm)
    monkeypatch.setattr(fitting, "fit", held)
    qtbot.waitUntil(began.is_set, timeout=SLOW_MS)
    monkeypatch.setattr(fitting, "fit", real)
    second = check(session, session.season.worth_checking()[0])
    go.set()
    idle(qtbot, session)
    assert session.season.learned is not None
    assert {first, second} <= set(session.season.learned.checks)


def test_a_failure_is_said_and_what_was_learned_stays(
    qtbot: QtBot, session: Session, warm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    check(session, warm)
    session.learning.begin()
    idle(qtbot, session)
    kept = session.season.learned

    def broken(*_args: object, **_given: object) -> Learned:
        raise RuntimeError("no answer")

    real = fitting.fit
    said: list[str] = []
    session.said.connect(said.append)
    other = session.season.worth_checking()[0]
    with capture_exceptions() as caught:
        check(session, other)
        monkeypatch.setattr(fitting, "fit", broken)
        idle(qtbot, session)
    assert [str(error) for _, error, _ in caught] == ["no answer"]
    assert session.learning.failed is not None
    assert session.learning.failed in said
    assert session.season.learned is kept
    monkeypatch.setattr(fitting, "fit", real)
    session.learning.again()
    idle(qtbot, session)
    assert session.learning.failed is None


def test_closing_waits_for_no_thread_and_nothing_comes_of_it(
    qtbot: QtBot, session: Session, warm: str
) -> None:
    check(session, warm)
    session.learning.begin()
    qtbot.waitUntil(lambda: any(t.name == "background task" for t in threading.enumerate()))
    session.learning.close()
    qtbot.waitUntil(lambda: not any_left(), timeout=SLOW_MS)
    qtbot.wait(50)
    assert session.season.learned is None
    assert not session.learning.working
