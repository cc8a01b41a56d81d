"""Files from strangers, torn in some of a thousand ways: refused in words or read, never a crash.

A short run is part of the suite; the long one is
``RIPENROOM_MALFORMED=10000 python -m pytest tests/exchange/test_malformed.py -s``.
"""

import random
import resource
import sys
import zipfile
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from ripenroom.exchange.lesson_file import read_lessons, write_lessons
from ripenroom.exchange.record_table.columns import MEANINGS, guess
from ripenroom.exchange.record_table.grid import grid_of
from ripenroom.exchange.record_table.reading import read
from ripenroom.exchange.season_json import json_text, read_json
from ripenroom.exchange.season_tables import season_tables
from ripenroom.exchange.table_writing import write_workbook
from ripenroom.exchange.text_table.source import SHEET, load
from ripenroom.paths import resource as shipped
from ripenroom.records.crop.toml_profile import load_profile
from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.refusal import Refusal
from ripenroom.season.learning.lessons import SharedLesson, SharedLessons
from ripenroom.season.practice import demo_book, write_demo
from ripenroom.season.season import Season
from tests.draws import lengths

HOME = ZoneInfo("Europe/Lisbon")
NOW = datetime(2026, 9, 20, 12, tzinfo=HOME)
Sound = dict[str, tuple[bytes, Callable[[Path], None]]]
TORN = (
    *(b'"', b"\0", b"\xff\xfe", b"\r", b";;;;", b"=1+1", b"NaN", b"1e999", b"-", b"{", b"}", b"[["),
    *(b"]", b",", b"null", b"9" * 400, b"\\ud800", b"'''", b"\xe2\x80\xae", b"\x1a", b"../../x"),
)


def table(path: Path) -> None:
    source = load(path)
    grid = grid_of(source.lines, from_sheet=source.encoding == SHEET)
    for kind in MEANINGS:
        assert len(read(grid, guess(grid, kind), NOW)) == len(grid.rows)


def season(path: Path) -> None:
    book = read_json(path)
    target = path.with_name("made.ripenroom")
    try:
        SeasonFile.create(target, book.season, book.records()).close()
    finally:
        target.unlink(missing_ok=True)


def lessons(path: Path) -> None:
    read_lessons(path)


def crop(path: Path) -> None:
    load_profile(path)


@pytest.fixture(scope="module")
def sound(
    tmp_path_factory: pytest.TempPathFactory,
) -> dict[str, tuple[bytes, Callable[[Path], None]]]:
    """A sound file of every kind, and who reads it."""
    folder = tmp_path_factory.mktemp("sound")
    write_demo(folder / "demo.ripenroom")
    demo = Season.open(folder / "demo.ripenroom")
    tables = season_tables(demo)
    demo.close()
    write_workbook({"picks": tables["picks"]}, folder / "picks.xlsx")
    tables["picks"].to_csv(folder / "picks.csv", index=False, sep=";")
    lesson = SharedLesson("pawpaw", "Early", 0.2, 0.1, 6, 0.8, 20.0)
    write_lessons(SharedLessons("2025", (lesson,)), folder / "lessons.json")
    return {
        "csv": ((folder / "picks.csv").read_bytes(), table),
        "xlsx": ((folder / "picks.xlsx").read_bytes(), table),
        "json": (json_text(demo_book()).encode(), season),
        "lessons": ((folder / "lessons.json").read_bytes(), lessons),
        "toml": (shipped("crops", "pawpaw.toml").read_bytes(), crop),
    }


def torn(content: bytes, chance: random.Random) -> bytes:
    damaged = bytearray(content)
    kind = chance.randrange(4)
    if kind == 0:
        return bytes(damaged[: chance.randrange(len(damaged) + 1)])
    for _ in range(chance.choice((1, 2, 5, 30))):
        at = chance.randrange(len(damaged))
        if kind == 1:
            damaged[at] ^= 1 << chance.randrange(8)
        elif kind == 2:
            damaged[at : at + chance.randrange(4)] = chance.choice(TORN)
        else:
            other = chance.randrange(len(damaged))
            damaged[at : at + 9] = damaged[other : other + chance.randrange(60)]
    return bytes(damaged)


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json", "lessons", "toml"])
@pytest.mark.parametrize("files", lengths("RIPENROOM_MALFORMED", everyday=150, long=400))
def test_torn_files_are_refused_or_read(
    kind: str, files: int, sound: Sound, tmp_path: Path
) -> None:
    content, reader = sound[kind]
    chance = random.Random(kind)
    path = tmp_path / f"torn.{kind}"
    outcomes: Counter[str] = Counter()
    path.write_bytes(content)
    reader(path)
    for _ in range(files // 5):
        path.write_bytes(torn(content, chance))
        try:
            reader(path)
        except (Refusal, FileRefusal):
            outcomes["refused"] += 1
        else:
            outcomes["read"] += 1
    print(f"{kind}: {dict(outcomes)}")
    assert outcomes["refused"] > 0
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted in kilobytes there")
def test_a_workbook_made_to_swell_is_refused_within_little_memory(tmp_path: Path) -> None:
    bomb = tmp_path / "bomb.xlsx"
    row = b"<row><c t='inlineStr'><is><t>" + b"a" * 1000 + b"</t></is></c></row>"
    with (
        zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as sheet,
    ):
        sheet.write(b"<worksheet><sheetData>")
        for _ in range(400):
            sheet.write(row * 1000)
        sheet.write(b"</sheetData></worksheet>")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(Refusal):
        table(bomb)
    assert bomb.stat().st_size < 5_000_000
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown < 100_000  # kilobytes; unpacked it would be 400 MB
