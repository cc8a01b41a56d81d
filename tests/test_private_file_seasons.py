"""Nothing that a season is made of is written over, by whatever name it is called."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from ripenroom.paths import copies_folder
from ripenroom.private_file import (
    OfASeason,
    free_path,
    private_file,
    private_folder,
    require_no_season,
)
from ripenroom.records.file import FileRefusal
from ripenroom.records.file.copying import copy_season_file
from tests.folded_disk import knows_no_capitals

unix = pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")


@pytest.fixture
def json_season(written_practice: Path, tmp_path: Path) -> Path:
    """A season whose name is that of something else."""
    return Path(shutil.copyfile(written_practice, tmp_path / "b.json"))


def refused(path: Path) -> bool:
    try:
        with private_file(path) as unfinished:
            unfinished.write_text("gone")
    except OfASeason as refusal:
        return bool(refusal.filename == str(path))
    return False


def test_a_season_is_known_by_what_is_in_it(json_season: Path) -> None:
    before = json_season.read_bytes()
    assert refused(json_season)
    assert json_season.read_bytes() == before


@unix
@pytest.mark.parametrize("link", [os.symlink, os.link])
def test_no_link_leads_to_it(json_season: Path, link: object) -> None:
    other = json_season.with_name("out.csv")
    link(json_season, other)  # type: ignore[operator]
    assert refused(other)
    folder = json_season.with_name("folder")
    folder.mkdir()
    (folder / "up").symlink_to(folder.parent)
    assert refused(folder / "up" / "b.json")
    assert refused(folder / ".." / "b.json")


@pytest.mark.parametrize("name", ["B.JSON", "b.JSON", "b.json.", "ｂ.json"])
def test_nor_do_other_letters(json_season: Path, name: str) -> None:
    assert refused(json_season.with_name(name))
    assert not refused(json_season.with_name("c.json"))


@pytest.mark.parametrize("side", ["-journal", "-wal", "-shm", ".lock", "-JOURNAL", ".Lock"])
@pytest.mark.parametrize("season", ["b.json", "farm.ripenroom", "B.json"])
def test_what_belongs_beside_it_is_kept_free(json_season: Path, side: str, season: str) -> None:
    side_file = json_season.with_name(season + side)
    assert refused(side_file)
    assert list(json_season.parent.iterdir()) == [json_season]
    with pytest.raises(OfASeason):
        private_folder(side_file)
    with pytest.raises(OfASeason):
        require_no_season(side_file, for_season=True)


def test_a_lock_of_something_else_is_no_concern(tmp_path: Path) -> None:
    assert not refused(tmp_path / "packages.lock")


def test_what_is_called_a_season_is_one_only(tmp_path: Path) -> None:
    assert refused(tmp_path / "new.ripenroom")
    assert refused(tmp_path / "new.RIPENROOM")
    require_no_season(tmp_path / "new.ripenroom", for_season=True)


def test_copies_that_are_kept_are_written_by_their_keeper_alone() -> None:
    folder = copies_folder() / "one"
    folder.mkdir(parents=True)
    assert refused(folder / "table.csv")
    with pytest.raises(OfASeason):
        private_folder(copies_folder())
    with pytest.raises(OfASeason):
        require_no_season(folder / "a.ripenroom", for_season=True)


def test_a_season_is_not_made_where_an_unfinished_change_would_fall_into_it(
    tmp_path: Path,
) -> None:
    (tmp_path / "farm.ripenroom-journal").write_bytes(b"half of a change")
    with pytest.raises(OfASeason, match="unfinished"):
        require_no_season(tmp_path / "farm.ripenroom", for_season=True)


@unix
def test_links_that_lead_in_a_circle_are_refused_by_the_system(tmp_path: Path) -> None:
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    for path in (loop, loop / "out.csv"):
        with pytest.raises(OSError, match="Too many levels"), private_file(path):
            pytest.fail("it was opened")
    assert loop.is_symlink()


@unix
def test_a_disk_is_not_written_to_as_if_it_were_a_file() -> None:
    disks = [path for path in Path("/dev").iterdir() if path.is_block_device()]
    if not disks:
        pytest.skip("there is no disk to name here")
    with pytest.raises(OSError, match="whole disk"), private_file(disks[0]):
        pytest.fail("it was opened")


def test_a_free_name_is_proposed(json_season: Path) -> None:
    assert free_path(json_season.with_name("c.json")).name == "c.json"
    assert free_path(json_season).name == "b 2.json"
    json_season.with_name("B 2.json").touch()
    assert free_path(json_season).name == "b 3.json"


@unix
def test_on_a_disk_that_knows_no_capitals_no_letters_lead_to_a_season(
    json_season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = json_season.read_bytes()
    kept = copies_folder() / "an id" / "kept.ripenroom"
    kept.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(json_season, kept)
    knows_no_capitals(monkeypatch, Path(tmp_path.anchor))
    for name in ("B.JSON", "b.Json"):
        other = json_season.with_name(name)
        assert other.samefile(json_season)
        assert refused(other)
        assert refused(tmp_path.with_name(tmp_path.name.upper()) / name)
        with pytest.raises(FileRefusal, match=r"the open season itself|but for capital letters"):
            copy_season_file(json_season, other)
        assert free_path(other).name == f"{other.stem} 2{other.suffix}"
    assert refused(json_season.with_name("B.JSON-Journal"))
    for copies in (kept.parent.parent.with_name("COPIES"), kept.parents[2] / "Copies" / "AN ID"):
        assert refused(copies / "out.csv")
    assert json_season.read_bytes() == before
    assert not refused(json_season.with_name("C.JSON"))
    assert json_season.with_name("c.json").read_text() == "gone"
