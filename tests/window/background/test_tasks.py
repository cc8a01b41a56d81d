"""The one runner of background tasks, and what it lets go of."""

import gc
import threading
import weakref
from collections import Counter
from functools import partial
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.plans.planner import Planner
from ripenroom.window.background.task import BackgroundTask, Latest, Tasks, Work, any_left
from ripenroom.window.session import Session
from tests.window.planned import SLOW_MS

EDITS = 150


class Made:
    """Something large that a task works out."""


def test_a_task_that_is_dropped_is_gone_with_what_it_made_and_was_made_from(qtbot: QtBot) -> None:
    """Nothing collects cycles meanwhile: all of it has to go by itself."""
    tasks = Tasks()
    kept: list[weakref.ref[Any]] = []

    def begin() -> None:
        given = Made()
        begun = threading.Event()

        def work(cancel: threading.Event, _tell: object) -> Made:
            result = Made()
            kept.append(weakref.ref(result))
            begun.set()
            cancel.wait(10.0)
            return result if given else Made()

        task = tasks.run(work)
        task.ended.connect(lambda: task.report_error())
        kept.extend((weakref.ref(task), weakref.ref(given)))
        assert begun.wait(10.0)
        task.drop()

    for _ in range(EDITS):
        begin()
    assert len(kept) == 3 * EDITS
    qtbot.waitUntil(lambda: not any(ref() for ref in kept), timeout=SLOW_MS)


def test_a_task_that_ended_is_gone_once_it_was_looked_at(qtbot: QtBot) -> None:
    tasks = Tasks()
    task: BackgroundTask[Made] | None = tasks.run(lambda _cancel, _tell: Made())
    assert task is not None
    found: list[bool] = []
    task.ended.connect(lambda: found.append(True))
    qtbot.waitUntil(lambda: bool(found))
    assert isinstance(task.result, Made)
    refs: list[weakref.ref[Any]] = [weakref.ref(task), weakref.ref(task.result)]
    task = None
    qtbot.waitUntil(lambda: not any(ref() for ref in refs))


def test_what_writes_a_file_comes_to_its_end_when_all_is_closed(qtbot: QtBot) -> None:
    tasks, written, go_on = Tasks(), threading.Event(), threading.Event()

    def write(_cancel: threading.Event, _tell: object) -> None:
        go_on.wait(10.0)
        written.set()

    def think(_cancel: threading.Event, _tell: object) -> None:
        go_on.wait(10.0)

    tasks.run(write, to_its_end=True)
    tasks.run(think)
    threading.Timer(0.1, go_on.set).start()
    tasks.close()
    assert written.is_set()
    qtbot.waitUntil(lambda: not any_left())


@pytest.mark.long
@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_of_many_edits_only_the_latest_plan_and_what_was_learned_stay(
    qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every edit drops a plan and a fit that have begun, with all that they stand on."""
    run, kept, before = Tasks.run, list[weakref.ref[Any]](), _planners()

    def known(self: Tasks, work: Any, **given: Any) -> BackgroundTask[Any]:
        task = run(self, work, **given)
        kept.extend((weakref.ref(task), weakref.ref(task._running)))
        return task

    monkeypatch.setattr(Tasks, "run", known)
    begun = Counter[str]()

    def counted(name: str, runner: Latest[Any]) -> None:
        """What is worked on may be done before anybody looks for it."""
        work = runner._work

        def begin() -> Work[Any]:
            begun[name] += 1
            return work()

        monkeypatch.setattr(runner, "_work", begin)
        runner._pause.setInterval(0)

    counted("fit", session.learning)
    counted("plan", session.plans)
    session.learning.begin()
    session.plans.begin()
    season = session.season
    place_id = next(p.id for p in season.book.places.values() if p.kind == "cold room")
    for number in range(15):
        wanted = begun + Counter({"fit": 1, "plan": number % 3 == 2})
        season.do(actions.places.set_set_point, place_id, 2.0 + number % 4)
        qtbot.waitUntil(partial(begun.__ge__, wanted), timeout=SLOW_MS)
    assert len(kept) >= 2 * 15
    working = (session.learning, session.plans)
    qtbot.waitUntil(lambda: not any(runner.working for runner in working), timeout=SLOW_MS)
    qtbot.waitUntil(lambda: session.plans._checking is None, timeout=SLOW_MS)
    qtbot.waitUntil(lambda: not any(ref() for ref in kept), timeout=SLOW_MS)
    assert [one for one in _planners() if one not in before] == [session.plans.replanner]


def _planners() -> list[Planner]:
    return [thing for thing in gc.get_objects() if isinstance(thing, Planner)]
