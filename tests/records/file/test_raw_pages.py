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
