"""One writer at a time."""

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from ripenroom.records.file.lock import HeldElsewhere, NotOurs, WriterLock, lock_path

HOLD = """
import sys, pathlib
from ripenroom.records.file.lock import WriterLock
lock = WriterLock(pathlib.Path(sys.argv[1]))
print("held", flush=True)
sys.stdin.read()
lock.release()
"""


def test_a_second_opener_in_the_same_process_is_told_who_holds_it(path: Path) -> None:
    lock = WriterLock(path)
    with pytest.raises(HeldElsewhere) as held:
        WriterLock(path)
    assert held.value.holder is not None
    assert held.value.holder.pid == os.getpid()
    assert held.value.holder.words.endswith(" UTC")
    lock.release()
    WriterLock(path).release()


def test_nothing_is_left_beside_the_file(path: Path) -> None:
    WriterLock(path).release()
    assert list(path.parent.iterdir()) == []


def test_a_link_leads_to_the_same_lock(path: Path) -> None:
    path.touch()
    link = path.with_name("link.ripenroom")
    link.symlink_to(path)
    lock = WriterLock(path)
    with pytest.raises(HeldElsewhere):
        WriterLock(link)
    lock.release()


def test_a_holder_that_wrote_nothing_holds_all_the_same(path: Path) -> None:
    lock = WriterLock(path)
    os.truncate(lock_path(path), 0)
    with pytest.raises(HeldElsewhere) as held:
        WriterLock(path)
    assert held.value.holder is None
    lock.release()


def test_a_killed_process_locks_nobody_out(path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    with process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"held\n"
        with pytest.raises(HeldElsewhere) as held:
            WriterLock(path)
        assert held.value.holder is not None
        assert held.value.holder.pid == process.pid
        process.send_signal(signal.SIGKILL if sys.platform != "win32" else signal.SIGTERM)
        process.wait(timeout=20)
    assert lock_path(path).exists()
    WriterLock(path).release()
    assert not lock_path(path).exists()


def test_a_lock_whose_file_was_taken_away_leaves_the_next_one_alone(path: Path) -> None:
    first = WriterLock(path)
    lock_path(path).unlink()
    second = WriterLock(path)
    first.release()
    assert lock_path(path).exists()
    second.release()


def test_a_folder_that_is_not_there_is_an_error_of_the_system(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        WriterLock(tmp_path / "gone" / "a.ripenroom")


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")
@pytest.mark.parametrize("link", [os.symlink, os.link])
def test_a_link_in_its_place_is_not_followed(path: Path, link: object) -> None:
    precious = path.with_name("precious")
    precious.write_text('{"pid": 1, "host": "of a grower", "since": "2026"}')
    link(precious, lock_path(path))  # type: ignore[operator]
    before = precious.read_text()
    with pytest.raises(NotOurs):
        WriterLock(path)
    assert precious.read_text() == before
    assert lock_path(path).exists()


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")
def test_a_link_to_nowhere_makes_nothing_there(path: Path) -> None:
    lock_path(path).symlink_to(path.with_name("elsewhere"))
    with pytest.raises(NotOurs):
        WriterLock(path)
    assert not path.with_name("elsewhere").exists()


@pytest.mark.parametrize(
    "content",
    [
        b"apples, pears",
        b"{",
        b"x" * 10_000,
        b"[" * 4_000,
        b'{"pid": 4242, "port": 8080}',
        b'{"pid": 4242, "host": "barn", "since": "2026-09-14", "port": 8080}',
        b'{"pid": "4242", "host": "barn", "since": "2026-09-14"}',
        b'{"pid": 4242, "host": "barn"}',
    ],
)
def test_what_is_not_ours_stays_as_it_is(path: Path, content: bytes) -> None:
    lock_path(path).write_bytes(content)
    with pytest.raises(NotOurs):
        WriterLock(path)
    assert lock_path(path).read_bytes() == content


@pytest.mark.parametrize("left", [b"", b"\0" * 80])
def test_what_a_power_cut_leaves_of_a_lock_locks_nobody_out(path: Path, left: bytes) -> None:
    lock_path(path).write_bytes(left)
    WriterLock(path).release()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such pipes")
def test_a_pipe_in_its_place_is_not_waited_for(path: Path) -> None:
    os.mkfifo(lock_path(path))
    with pytest.raises(NotOurs):
        WriterLock(path)


def test_a_lock_that_is_given_up_meanwhile_was_worth_waiting_for(path: Path) -> None:
    first = WriterLock(path)
    with pytest.raises(HeldElsewhere):
        WriterLock(path, wait_s=0.1)
    threading.Timer(0.2, first.release).start()
    WriterLock(path, wait_s=60.0).release()
