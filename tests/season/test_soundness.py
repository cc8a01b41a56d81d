"""Looking a file over."""

from pathlib import Path

import pytest

from ripenroom.records.file import FileRefusal
from ripenroom.season.living import LivingSeason
from ripenroom.season.soundness import problems_of
from tests.season.farm import entry


def test_a_season_in_use_is_sound_and_stays_as_it_is(living: LivingSeason) -> None:
    living.add_pick(entry())
    before = living.path.read_bytes()
    assert problems_of(living.path) == []
    assert living.path.read_bytes() == before


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileRefusal) as caught:
        problems_of(tmp_path / "none.ripenroom")
    assert caught.value.kind == "missing"


def test_a_file_of_something_else(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear grower, " * 100)
    (problem,) = problems_of(path)
    assert "letter.txt" in problem
