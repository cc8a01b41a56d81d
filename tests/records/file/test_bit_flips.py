"""A flipped bit or a file cut short is refused, reported or without effect: no value is wrong."""

import random
from collections import Counter
from pathlib import Path

import pytest

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from tests.draws import lengths


def history(path: Path) -> tuple[list[Book], str]:
    """Every state that undo leads back to, and how that ended."""
    books: list[Book] = []
    try:
        file = SeasonFile.open(path)
    except FileRefusal as refused:
        return books, f"refused as {refused.kind}"
    try:
        books.append(file.read())
        while (done := file.undo()) is not None:
            books.append(books[-1].with_changes(done[1].put, done[1].deleted))
        books.append(file.read())
        return books, "opened"
    except FileRefusal:
        return books, "undo refused"
    finally:
        file.close()


@pytest.fixture
def bench(lived_in: tuple[Path, Book], tmp_path: Path) -> tuple[bytes, list[Book], Path]:
    """The bytes of a sound file, all it can be made to say, and where to put a damaged one."""
    path, _ = lived_in
    content = path.read_bytes()
    folder = tmp_path / "bench"
    folder.mkdir()
    copy = folder / path.name
    copy.write_bytes(content)
    books, outcome = history(copy)
    assert outcome == "opened"
    return content, books, copy


@pytest.mark.parametrize("flips", lengths("RIPENROOM_FLIPS", everyday=40, long=200))
def test_a_flipped_bit_never_yields_a_wrong_value(
    bench: tuple[bytes, list[Book], Path], flips: int
) -> None:
    content, truth, copy = bench
    chance = random.Random(20260914)
    outcomes: Counter[str] = Counter()
    # A small file is mostly empty; flips there would tell little.
    filled = [place for place, byte in enumerate(content) if byte]
    for _ in range(flips):
        place, bit = chance.choice(filled), chance.randrange(8)
        damaged = bytearray(content)
        damaged[place] ^= 1 << bit
        copy.write_bytes(damaged)
        reported = bool(verify(copy))
        assert copy.read_bytes() == damaged, "verify wrote to the file"
        books, outcome = history(copy)
        # Not a single state may be shown that never was.
        assert books == truth[: len(books)], f"byte {place}, bit {bit}"
        if outcome != "opened":
            assert reported, f"byte {place}, bit {bit}: {outcome}, but verify finds nothing"
        else:
            assert len(books) == len(truth), f"byte {place}, bit {bit}"
            outcome = "no effect, reported" if reported else "no effect"
        outcomes[outcome] += 1
        assert list(copy.parent.iterdir()) == [copy]
    print(f"{flips} flips among {len(filled):,} bytes: {dict(outcomes.most_common())}")


@pytest.mark.parametrize("cuts", lengths("RIPENROOM_CUTS", everyday=25, long=60))
def test_a_file_cut_short_is_refused(bench: tuple[bytes, list[Book], Path], cuts: int) -> None:
    content, _, copy = bench
    chance = random.Random(20260915)
    lengths = {0, 1, 15, 16, 99, 100, 511, 512, 4095, 4096, 4097, 8192, len(content) - 1}
    while len(lengths) < cuts:
        lengths.add(chance.randrange(len(content)))
    for length in sorted(lengths):
        copy.write_bytes(content[:length])
        problems = verify(copy)
        books, outcome = history(copy)
        assert books == []
        assert outcome in ("refused as damaged", "refused as foreign"), length
        assert problems, length


def test_a_page_of_zeros_is_refused_or_without_effect(
    bench: tuple[bytes, list[Book], Path],
) -> None:
    content, truth, copy = bench
    page = 4096
    for start in range(0, len(content), page):
        copy.write_bytes(content[:start] + bytes(page) + content[start + page :])
        reported = bool(verify(copy))
        books, outcome = history(copy)
        assert books == truth[: len(books)], start
        assert reported or outcome == "opened", start
