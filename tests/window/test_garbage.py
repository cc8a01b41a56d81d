"""What is no longer needed ends in the window's thread, whoever asks for memory meanwhile."""

import gc
import threading
import weakref
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.garbage import Garbage


class Knot:
    """Holds itself, so that only a search for cycles ends it."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture
def garbage() -> Iterator[Garbage]:
    gc.collect()
    keeper = Garbage()
    yield keeper
    keeper.stop()


def ask_for_memory() -> None:
    for _ in range(20):
        _ = [[n] for n in range(20_000)]


def ended_in(knot: Knot) -> list[threading.Thread]:
    threads: list[threading.Thread] = []
    weakref.finalize(knot, lambda: threads.append(threading.current_thread()))
    return threads


def test_a_knot_ends_in_the_windows_thread(qtbot: QtBot, garbage: Garbage) -> None:
    ended = ended_in(Knot())
    work = threading.Thread(target=ask_for_memory)
    work.start()
    work.join()
    assert ended == []
    _ = [[n] for n in range(20_000)]
    qtbot.waitUntil(lambda: bool(ended))
    assert ended == [threading.main_thread()]


def test_when_it_stops_python_goes_on_by_itself(qtbot: QtBot, garbage: Garbage) -> None:
    assert not gc.isenabled()
    garbage.stop()
    assert gc.isenabled()
    ended = ended_in(Knot())
    work = threading.Thread(target=ask_for_memory)
    work.start()
    work.join()
    assert ended == [work]
