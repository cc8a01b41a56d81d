"""Values that no form lets in are let in by no other way, and are told wherever they stand."""

import shutil
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.exchange.season_json import json_text, read_json
from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.refusal import Refusal
from ripenroom.season.copies import rescue_season
from ripenroom.season.season import Season
from tests.draws import one_in
from tests.records.hostile import (
    HOSTILE,
    Hostile,
    deep_json,
    edit_json,
    edit_row,
    edit_undo,
    edited,
    full_book,
)

SHORT = [h for h in HOSTILE if len(str(h.value)) < 1_000_000]
"""Those that are not made of millions of characters: for ways in that take a while each."""


@pytest.fixture(scope="module")
def book() -> Book:
    return full_book()


@pytest.fixture(scope="module")
def sound(book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sound") / "sound.ripenroom"
    SeasonFile.create(path, book.season, book.records()).close()
    return path


@pytest.fixture(scope="module")
def text(book: Book) -> str:
    return json_text(book)


@pytest.fixture
def path(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(sound, tmp_path / "copy.ripenroom"))


def test_the_season_that_is_edited_is_sound(path: Path, text: str, tmp_path: Path) -> None:
    assert verify(path) == []
    Season.open(path).close()
    (tmp_path / "sound.json").write_text(text, "utf-8")
    read_json(tmp_path / "sound.json")


@pytest.mark.parametrize("hostile", one_in(12, HOSTILE), ids=str)
def test_a_row_that_was_edited_is_found_by_verify_and_by_opening(
    hostile: Hostile, path: Path
) -> None:
    edit_row(path, hostile)
    found = verify(path)
    assert found
    with pytest.raises(FileRefusal) as refused:
        Season.open(path)
    assert refused.value.kind == "damaged"
    assert len(refused.value.message) < 600


@pytest.mark.parametrize("hostile", one_in(4, HOSTILE), ids=str)
def test_json_with_such_a_value_is_refused(hostile: Hostile, text: str, tmp_path: Path) -> None:
    source = tmp_path / "hostile.json"
    source.write_text(edit_json(text, hostile), "utf-8")
    with pytest.raises(Refusal) as refused:
        read_json(source)
    assert len(refused.value.message) < 600
    assert [p.name for p in tmp_path.iterdir()] == [source.name]


@pytest.mark.parametrize("number", range(3))
def test_deep_json_is_refused(number: int, tmp_path: Path) -> None:
    source = tmp_path / "deep.json"
    source.write_text(list(deep_json())[number], "utf-8")
    with pytest.raises(Refusal):
        read_json(source)


def test_no_action_writes_such_a_value(path: Path, book: Book) -> None:
    file = SeasonFile.open(path)
    before = path.read_bytes()
    for hostile in HOSTILE:
        try:
            record = edited(book, hostile)
        except (ValueError, OverflowError):
            continue  # not even Python can hold it
        with pytest.raises(Refusal) as refused:
            file.write("a slip", [record])
        assert len(refused.value.message) < 600, hostile
    file.close()
    assert path.read_bytes() == before


@pytest.mark.parametrize("hostile", one_in(3, SHORT[::9]), ids=str)
def test_a_copy_with_such_a_value_is_not_merged(hostile: Hostile, path: Path) -> None:
    other = Path(shutil.copyfile(path, path.with_name("other.ripenroom")))
    edit_row(other, hostile)
    season = Season.open(path)
    book = season.book
    with pytest.raises(FileRefusal):
        season.copies.meet(other)
    assert season.book is book
    season.close()


@pytest.mark.parametrize("hostile", one_in(6, SHORT[::5]), ids=str)
def test_what_is_rescued_holds_no_such_value(hostile: Hostile, path: Path, book: Book) -> None:
    edit_row(path, hostile)
    target = path.with_name("rescued.ripenroom")
    found = rescue_season(path, target, "UTC", book.season.first_day)
    assert verify(target) == []
    assert found.lost or found.season_is_lost
    Season.open(target).close()


@pytest.mark.parametrize(
    ("column", "value"),
    [("half_cooling_h", 1e308), ("half_cooling_h", 0.0), ("half_cooling_h", "x"), ("name", "")],
)
def test_a_step_back_to_such_a_value_is_not_taken(path: Path, column: str, value: object) -> None:
    with closing(SeasonFile.open(path)) as file:
        place = next(iter(file.read().places.values()))
        file.write("Change", [replace(place, name="Other", half_cooling_h=7.25)])
    assert verify(path) == []
    edit_undo(path, column, value)
    [problem] = verify(path)
    assert "“Change”" in problem
    with closing(SeasonFile.open(path)) as file:
        before = file.read()
        with pytest.raises(FileRefusal, match="cannot be undone"):
            file.undo()
        assert file.read() == before
        file.write("Another", [replace(place, name="Third")])


def test_a_step_back_that_takes_the_season_away_is_not_taken(path: Path, book: Book) -> None:
    with closing(SeasonFile.open(path)) as file:
        file.write("Change", [replace(book.season, name="Other")])
    edit_undo(path, "inverse", "delete")
    assert verify(path)
    with closing(SeasonFile.open(path)) as file, pytest.raises(FileRefusal):
        file.undo()
    assert SeasonFile.open(path, read_only=True).read().season.name == "Other"
