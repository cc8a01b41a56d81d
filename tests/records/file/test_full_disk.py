"""A disk without room: the change is refused in words, what was there stays, and work goes on."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file import FileRefusal, SeasonFile, verify


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 KiB, where the system lets us make one."""
    folder = tmp_path / "stick"
    folder.mkdir()
    if sys.platform != "linux":
        pytest.skip("only Linux has tmpfs")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(folder)],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        pytest.skip("only an administrator can mount a small disk")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def fill(file: SeasonFile, invented: Any) -> tuple[int, FileRefusal]:
    """Add picks until there is no room: how many were acknowledged, and the refusal."""
    for stored in range(2000):
        try:
            file.write("Add pick", [invented.batch(stored, note="x" * 500)])
        except FileRefusal as refused:
            return stored, refused
    raise AssertionError("there was room for everything")


def test_a_full_disk_loses_nothing(small_disk: Path, invented: Any) -> None:
    path = small_disk / "full.ripenroom"
    file = SeasonFile.create(path, invented.season)
    stored, refused = fill(file, invented)
    assert stored > 10
    assert refused.kind == "full"
    assert "Make room" in refused.message
    assert len(file.read().batches) == stored
    assert file.undo_label == "Add pick"
    file.close()
    assert list(small_disk.iterdir()) == [path]
    assert verify(path) == []


def test_with_room_again_work_goes_on(small_disk: Path, invented: Any) -> None:
    ballast = small_disk / "video"
    ballast.write_bytes(bytes(60_000))
    file = SeasonFile.create(small_disk / "full.ripenroom", invented.season)
    stored, _ = fill(file, invented)
    ballast.unlink()
    file.write("Add pick", [invented.batch(stored)])
    assert len(file.read().batches) == stored + 1
    file.close()


def test_no_half_made_file_is_left_on_a_full_disk(small_disk: Path, invented: Any) -> None:
    (small_disk / "video").write_bytes(bytes(250_000))
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.create(small_disk / "new.ripenroom", invented.season)
    assert refused.value.kind == "full"
    assert [entry.name for entry in small_disk.iterdir()] == ["video"]


def test_a_file_that_may_not_grow_keeps_what_it_has(season_file: SeasonFile, invented: Any) -> None:
    # The same answer of SQLite without a small disk: a limit on the file's pages.
    pages = season_file.path.stat().st_size // 4096 + 5
    season_file._connection.execute(f"PRAGMA max_page_count = {pages}")
    stored, refused = fill(season_file, invented)
    assert stored > 0
    assert refused.kind == "full"
    assert len(season_file.read().batches) == stored
    season_file._connection.execute("PRAGMA max_page_count = 1000000")
    season_file.write("Add pick", [invented.batch(stored)])
    assert len(season_file.read().batches) == stored + 1
