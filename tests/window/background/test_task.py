"""Work beside the window: its result, its faults, its end."""

import gc
import sys
import threading
import weakref

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.background.task import BackgroundTask, Progress, any_left


def test_the_result_comes_back(qtbot: QtBot) -> None:
    task = BackgroundTask(lambda _cancel, _tell: threading.current_thread().name)
    with qtbot.waitSignal(task.ended):
        task.start()
    assert task.result == "background task"
    assert task.error is None
    assert not task.running


def test_progress_is_told_on_the_way(qtbot: QtBot) -> None:
    go_on = threading.Event()

    def work(_cancel: threading.Event, tell: Progress) -> None:
        tell(0.5)
        go_on.wait(5.0)

    task = BackgroundTask(work)
    with qtbot.waitSignal(task.progressed) as told:
        task.start()
    assert told.args == [0.5]
    go_on.set()
    task.wait()


def test_a_fault_is_kept(qtbot: QtBot) -> None:
    def work(_cancel: threading.Event, _tell: Progress) -> None:
        raise ValueError("a fault of ours")

    task = BackgroundTask(work)
    with qtbot.waitSignal(task.ended):
        task.start()
    assert isinstance(task.error, ValueError)
    assert task.result is None


def test_work_that_is_called_off_still_brings_what_it_has(qtbot: QtBot) -> None:
    task = BackgroundTask(lambda cancel, _tell: cancel.wait(5.0))
    task.start()
    with qtbot.waitSignal(task.ended):
        task.call_off()
    assert task.result is True
    assert task.called_off


def test_of_dropped_work_nothing_is_heard(qtbot: QtBot) -> None:
    task = BackgroundTask(lambda cancel, _tell: cancel.wait(5.0))
    task.start()
    with qtbot.assertNotEmitted(task.ended, wait=100):
        task.wait()
    assert task.dropped
    assert not task.running


def test_what_went_wrong_is_reported_once_it_is_asked(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(cancel: threading.Event, tell: Progress) -> None:
        raise ValueError("no")

    told: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda _kind, error, _trace: told.append(error))
    bad, good = BackgroundTask(fail), BackgroundTask(lambda cancel, tell: None)
    for task in (bad, good):
        with qtbot.waitSignal(task.ended):
            task.start()
    assert not told
    assert bad.report_error()
    assert not good.report_error()
    assert told == [bad.error]


def test_work_may_be_dropped_when_it_tells_of_its_progress(qtbot: QtBot) -> None:
    task = BackgroundTask(lambda _cancel, tell: tell(1.0))
    task.progressed.connect(task.drop)
    with qtbot.assertNotEmitted(task.ended, wait=150):
        task.start()
    assert task.dropped


def test_work_that_is_left_is_known_until_it_ends(qtbot: QtBot) -> None:
    go_on = threading.Event()
    task = BackgroundTask(lambda _cancel, _tell: go_on.wait(5.0))
    task.start()
    with qtbot.assertNotEmitted(task.ended, wait=100):
        task.leave()
        assert any_left()
        go_on.set()
        qtbot.waitUntil(lambda: not any_left())


def test_a_thread_holds_nothing_of_the_window(qtbot: QtBot) -> None:
    """Else the last to let go of an task could be its thread, and tear it down there."""
    go_on = threading.Event()
    task = BackgroundTask(lambda _cancel, _tell: go_on.wait(5.0))
    gone = weakref.ref(task)
    task.start()
    task.leave()
    del task
    gc.collect()
    assert gone() is None
    assert any_left()
    go_on.set()
    qtbot.waitUntil(lambda: not any_left())
