"""Records read from bare pages, against what SQLite itself reads."""

import random
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file.raw_pages import records_in


def written(path: Path, page_bytes: int, rows: list[tuple[Any, ...]]) -> bytes:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA page_size = {page_bytes}")
        connection.execute(
            "CREATE TABLE kept (a BLOB, b ANY, id TEXT NOT NULL PRIMARY KEY, c ANY) STRICT,"
            " WITHOUT ROWID"
        )
        connection.executemany("INSERT INTO kept VALUES (?, ?, ?, ?)", rows)
        connection.commit()
    return path.read_bytes()


@pytest.mark.parametrize("page_bytes", [512, 4096, 65_536])
def test_every_row_is_found_as_it_was_written(page_bytes: int, tmp_path: Path) -> None:
    chance = random.Random(7)
    numbers = [0, 1, -1, 127, -129, 40_000, -(2**23), 2**31, -(2**40), 2**62, 1.5, -1e300, None]
    rows: list[tuple[Any, ...]] = [
        (chance.randbytes(size), chance.choice(numbers), f"key {n}", "é" * (size // 3))
        for n, size in enumerate([0, 1, 60, 200, 500, 3_000, 40_000, *range(300)])
    ]
    content = written(tmp_path / "rows.db", page_bytes, rows)
    found = {record[0]: record for record in records_in(content) if len(record) == 4}
    assert found == {key: (key, a, b, c) for a, b, key, c in rows}


def test_whatever_the_bytes_it_ends_without_an_error(tmp_path: Path) -> None:
    content = written(tmp_path / "rows.db", 512, [(b"x" * n, n, str(n), n) for n in range(900)])
    chance = random.Random(8)
    whole = len(list(records_in(content)))
    for _ in range(200):
        damaged = bytearray(content)
        for _ in range(40):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        assert len(list(records_in(bytes(damaged)))) <= 2 * whole
    assert list(records_in(b"")) == []
    noise = bytes([0x0A]) + chance.randbytes(4095)
    assert len(list(records_in(noise * 3))) < 3 * 4096


def test_pages_that_lead_in_circles_come_to_an_end() -> None:
    # Every cell claims half of what the file holds, out of a page that follows itself.
    size, pages = 4096, 200
    claimed = size * pages // 2
    least = (size - 12) * 32 // 255 - 23
    kept = least + (claimed - least) % (size - 4)
    kept = kept if kept <= (size - 12) * 64 // 255 - 23 else least
    at = size - 3 - kept - 4
    cells = (at - 8) // 2
    page = bytearray(size)
    page[0] = 0x0A
    page[3:5] = cells.to_bytes(2, "big")
    page[8 : 8 + 2 * cells] = at.to_bytes(2, "big") * cells
    page[at : at + 3] = bytes([0x80 | claimed >> 14, 0x80 | claimed >> 7 & 127, claimed & 127])
    turning = (pages + 1).to_bytes(4, "big")
    page[-4:] = turning
    content = bytes(page) * pages + turning + bytes(size - 4)
    assert len(list(records_in(content))) <= 16


def test_cells_that_lie_over_each_other_come_to_an_end() -> None:
    size, pages = 4096, 400
    page = bytearray(size)
    page[0] = 0x0A
    page[3:5] = (1500).to_bytes(2, "big")
    for number in range(1500):
        page[8 + 2 * number : 10 + 2 * number] = (3100).to_bytes(2, "big")
    # A record of 700 bytes in 50 columns, over and over.
    page[3100:3104] = bytes([0x85, 0x3C, 51, 0])
    found = len(list(records_in(bytes(page) * pages)))
    assert found <= 8 * size // 700 * pages
