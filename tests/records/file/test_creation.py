"""Making a season file: whole or not at all, and never over another."""

import errno
import os
import stat
import sys
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file import FileRefusal, verify
from ripenroom.records.file.creation import make_file
from ripenroom.records.refusal import Refusal


def test_a_new_file_is_sound_and_alone(path: Path, invented: Any) -> None:
    make_file(path, [invented.season, invented.place])
    assert verify(path) == []
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such permissions")
def test_only_its_owner_can_read_a_new_file(path: Path, invented: Any) -> None:
    make_file(path, [invented.season])
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_programs_know_a_season_by_its_bytes(path: Path, invented: Any) -> None:
    make_file(path, [invented.season])
    assert path.read_bytes()[68:72] == b"RIPN"


@pytest.mark.parametrize("content", [b"", b"another program's"])
def test_nothing_is_written_over(path: Path, invented: Any, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(FileRefusal, match="already there") as refused:
        make_file(path, [invented.season])
    assert refused.value.kind == "unwritable"
    assert path.read_bytes() == content
    assert list(path.parent.iterdir()) == [path]


def test_a_link_to_nowhere_is_not_followed(path: Path, invented: Any) -> None:
    path.symlink_to(path.with_name("elsewhere"))
    with pytest.raises(FileRefusal, match="already there"):
        make_file(path, [invented.season])


def test_a_missing_folder_is_named(tmp_path: Path, invented: Any) -> None:
    with pytest.raises(FileRefusal, match="There is no folder") as refused:
        make_file(tmp_path / "barn" / "a.ripenroom", [invented.season])
    assert refused.value.kind == "missing"


def test_a_record_that_cannot_be_kept_leaves_no_half_made_file(path: Path, invented: Any) -> None:
    with pytest.raises(Refusal):
        make_file(path, [invented.season, invented.batch(1, note="\0")])
    assert list(path.parent.iterdir()) == []


def test_a_name_too_long_for_the_disk_is_refused(tmp_path: Path, invented: Any) -> None:
    with pytest.raises(FileRefusal) as refused:
        make_file(tmp_path / ("x" * 300), [invented.season])
    assert refused.value.kind == "unwritable"
    assert list(tmp_path.iterdir()) == []


def test_a_disk_without_links_holds_a_season_too(
    path: Path, invented: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)  # as on a USB stick with FAT
    make_file(path, [invented.season])
    assert verify(path) == []
    with pytest.raises(FileRefusal, match="already there"):
        make_file(path, [invented.season])
    assert list(path.parent.iterdir()) == [path]


def test_records_that_no_file_can_keep_are_refused_in_words(path: Path, invented: Any) -> None:
    with pytest.raises(Refusal, match="without its batch"):
        make_file(path, [invented.season, invented.place, invented.move_of(invented.batch(1))])
    with pytest.raises(Refusal, match="-1 fruit: type a whole number"):
        make_file(path, [invented.season, invented.batch(1, count=-1)])
    assert list(path.parent.iterdir()) == []
