"""Opening, beginning and copying files says every problem in one line."""

import shutil
import stat
import sys
from pathlib import Path

import pytest

from ripenroom.window.season_files import (
    SeasonFileProblem,
    copy_season,
    open_season,
    with_suffix,
)
from tests.records.hostile import Hostile, edit_row


def test_a_missing_file_is_a_plain_line(tmp_path: Path) -> None:
    with pytest.raises(SeasonFileProblem) as problem:
        open_season(tmp_path / "gone.ripenroom")
    assert "gone.ripenroom" in str(problem.value)
    assert "\n" not in str(problem.value)


def test_a_copy_never_goes_onto_the_season_itself(season_path: Path) -> None:
    before = season_path.read_bytes()
    with pytest.raises(SeasonFileProblem, match="another name"):
        copy_season(season_path, season_path)
    assert season_path.read_bytes() == before


def test_a_copy_that_fails_leaves_nothing_behind(season_path: Path, tmp_path: Path) -> None:
    target = tmp_path / "no such folder" / "copy.ripenroom"
    with pytest.raises(SeasonFileProblem):
        copy_season(season_path, target)
    assert list(tmp_path.rglob("*.part")) == []


@pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")
def test_a_copy_is_its_owners_only(season_path: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.ripenroom"
    copy_season(season_path, target)
    assert stat.S_IMODE(target.stat().st_mode) == 0o600


def test_the_ending_is_added_once() -> None:
    assert with_suffix(Path("a/north")) == Path("a/north.ripenroom")
    assert with_suffix(Path("a/north.ripenroom")) == Path("a/north.ripenroom")
    assert with_suffix(Path("a/v1.2")) == Path("a/v1.2.ripenroom")


def test_a_record_that_cannot_be_is_named_and_there_are_ways_on(
    written_practice: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copyfile(written_practice, tmp_path / "hostile.ripenroom"))
    edit_row(path, Hostile("places", "half_cooling_h", 0.0))
    with pytest.raises(SeasonFileProblem) as caught:
        open_season(path)
    assert caught.value.damaged
    assert "The place “" in str(caught.value)
    assert "The time to cool halfway is 0 h" in str(caught.value)
