"""Two copies of a season, changed apart: what both held before."""

import shutil
from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.records.file import SeasonFile
from ripenroom.records.file.parting import book_before_parting
from tests.records.file.conftest import Invented


def copy_of(path: Path) -> Path:
    return Path(shutil.copyfile(path, path.with_name("house.ripenroom")))


def add(path: Path, invented: Invented, number: int) -> None:
    file = SeasonFile.open(path)
    file.write(f"Add {number}", [invented.batch(number), invented.move_of(invented.batch(number))])
    file.close()


def undo(path: Path) -> None:
    file = SeasonFile.open(path)
    file.undo()
    file.close()


def test_copies_that_were_not_changed_hold_all_in_common(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    assert book_before_parting(path, copy_of(path)) == book


def test_what_was_done_on_either_side_is_taken_back(
    lived_in: tuple[Path, Book], invented: Invented
) -> None:
    path, book = lived_in
    other = copy_of(path)
    for number in (20, 21, 22):
        add(path, invented, number)
    add(other, invented, 30)
    content = path.read_bytes(), other.read_bytes()
    assert book_before_parting(path, other) == book
    assert (path.read_bytes(), other.read_bytes()) == content
    assert {p.name for p in path.parent.iterdir()} == {path.name, other.name}


def test_steps_that_one_side_took_back_do_not_count(
    lived_in: tuple[Path, Book], invented: Invented
) -> None:
    path, book = lived_in
    add(path, invented, 20)
    other = copy_of(path)
    undo(path)
    add(path, invented, 21)
    add(other, invented, 30)
    assert book_before_parting(path, other) == book


def test_two_seasons_that_were_never_one_have_nothing_in_common(
    lived_in: tuple[Path, Book], invented: Invented, tmp_path: Path
) -> None:
    other = tmp_path / "other.ripenroom"
    SeasonFile.create(other, invented.season).close()
    assert book_before_parting(lived_in[0], other) is None


def test_two_steps_of_one_name_in_one_second_are_told_apart(
    lived_in: tuple[Path, Book], invented: Invented
) -> None:
    path, book = lived_in
    other = copy_of(path)
    for copy, note in ((path, "here"), (other, "there")):
        file = SeasonFile.open(copy)
        file.write("Note", [invented.batch(5, note=note)])
        file.close()
    assert book_before_parting(path, other) == book
