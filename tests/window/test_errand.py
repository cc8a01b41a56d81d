"""Work beside the window: its result, its faults, its end."""

import gc
import sys
import threading
import weakref

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.errand import Errand, Progress, any_left


def test_the_result_comes_back(qtbot: QtBot) -> None:
    errand = Errand(lambda _cancel, _tell: threading.current_thread().name)
    with qtbot.waitSignal(errand.ended):
        errand.start()
    assert errand.result == "errand"
    assert errand.error is None
    assert not errand.running


def test_progress_is_told_on_the_way(qtbot: QtBot) -> None:
    go_on = threading.Event()

    def work(_cancel: threading.Event, tell: Progress) -> None:
        tell(0.5)
        go_on.wait(5.0)

    errand = Errand(work)
    with qtbot.waitSignal(errand.progressed) as told:
        errand.start()
    assert told.args == [0.5]
    go_on.set()
    errand.wait()


def test_a_fault_is_kept(qtbot: QtBot) -> None:
    def work(_cancel: threading.Event, _tell: Progress) -> None:
        raise ValueError("a fault of ours")

    errand = Errand(work)
    with qtbot.waitSignal(errand.ended):
        errand.start()
    assert isinstance(errand.error, ValueError)
    assert errand.result is None


def test_work_that_is_called_off_still_brings_what_it_has(qtbot: QtBot) -> None:
    errand = Errand(lambda cancel, _tell: cancel.wait(5.0))
    errand.start()
    with qtbot.waitSignal(errand.ended):
        errand.call_off()
    assert errand.result is True
    assert errand.called_off


def test_of_dropped_work_nothing_is_heard(qtbot: QtBot) -> None:
    errand = Errand(lambda cancel, _tell: cancel.wait(5.0))
    errand.start()
    with qtbot.assertNotEmitted(errand.ended, wait=100):
        errand.wait()
    assert errand.dropped
    assert not errand.running


def test_what_went_wrong_is_reported_once_it_is_asked(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(cancel: threading.Event, tell: Progress) -> None:
        raise ValueError("no")

    told: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda _kind, error, _trace: told.append(error))
    bad, good = Errand(fail), Errand(lambda cancel, tell: None)
    for errand in (bad, good):
        with qtbot.waitSignal(errand.ended):
            errand.start()
    assert not told
    assert bad.report_error()
    assert not good.report_error()
    assert told == [bad.error]


def test_work_may_be_dropped_when_it_tells_of_its_progress(qtbot: QtBot) -> None:
    errand = Errand(lambda _cancel, tell: tell(1.0))
    errand.progressed.connect(errand.drop)
    with qtbot.assertNotEmitted(errand.ended, wait=150):
        errand.start()
    assert errand.dropped


def test_work_that_is_left_is_known_until_it_ends(qtbot: QtBot) -> None:
    go_on = threading.Event()
    errand = Errand(lambda _cancel, _tell: go_on.wait(5.0))
    errand.start()
    with qtbot.assertNotEmitted(errand.ended, wait=100):
        errand.leave()
        assert any_left()
        go_on.set()
        qtbot.waitUntil(lambda: not any_left())


def test_a_thread_holds_nothing_of_the_window(qtbot: QtBot) -> None:
    """Else the last to let go of an errand could be its thread, and tear it down there."""
    go_on = threading.Event()
    errand = Errand(lambda _cancel, _tell: go_on.wait(5.0))
    gone = weakref.ref(errand)
    errand.start()
    errand.leave()
    del errand
    gc.collect()
    assert gone() is None
    assert any_left()
    go_on.set()
    qtbot.waitUntil(lambda: not any_left())
