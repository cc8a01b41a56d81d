"""Files that only their owner may read, whole or as they were."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from ripenroom.private_file import private_file

unix = pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@unix
def test_only_the_owner_may_read_it_also_where_others_could_before(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old")
    path.chmod(0o644)
    with private_file(path) as unfinished:
        assert mode_of(unfinished) == 0o600
        unfinished.write_text("new")
    assert path.read_text() == "new"
    assert mode_of(path) == 0o600
    assert list(tmp_path.iterdir()) == [path]


def test_what_fails_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old")

    def write_half() -> None:
        with private_file(path) as unfinished:
            unfinished.write_text("half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_half()
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_refusals_of_the_system_name_the_file_that_was_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "out.csv"
    with pytest.raises(FileNotFoundError) as caught, private_file(path):
        pass
    assert caught.value.filename == str(path)
    with pytest.raises(IsADirectoryError), private_file(tmp_path):
        pass


def test_a_file_that_is_read_meanwhile_is_named_itself(tmp_path: Path) -> None:
    source = tmp_path / "gone"
    with pytest.raises(FileNotFoundError) as caught, private_file(tmp_path / "out"):
        source.read_text()
    assert caught.value.filename == str(source)


@unix
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "out.csv", tmp_path / "link.csv"
    path.write_text("old")
    link.symlink_to(path)
    with private_file(link) as unfinished:
        unfinished.write_text("new")
    assert link.is_symlink()
    assert path.read_text() == "new"


@unix
def test_a_pipe_is_written_to_as_it_is(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        with private_file(pipe) as target:
            assert target == pipe
            target.write_text("through")
        assert os.read(reader, 100) == b"through"
    finally:
        os.close(reader)


@unix
def test_the_output_of_a_program_is_written_to_by_its_name(tmp_path: Path) -> None:
    # A link that leads to no path at all: what pipes are called below /proc.
    program = (
        "from pathlib import Path\n"
        "from ripenroom.private_file import private_file\n"
        "with private_file(Path('/dev/stdout')) as out: out.write_text('through')"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "through"


@unix
def test_a_folder_is_synced_after_its_file_was_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old")
    synced: list[tuple[bool, str]] = []
    sync = os.fsync

    def watched(descriptor: int) -> None:
        is_folder = stat.S_ISDIR(os.fstat(descriptor).st_mode)
        synced.append((is_folder, path.read_text()))
        sync(descriptor)

    monkeypatch.setattr(os, "fsync", watched)
    with private_file(path) as unfinished:
        unfinished.write_text("new")
    assert synced == [(False, "old"), (True, "new")]
