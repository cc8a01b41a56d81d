"""``ripenroom import``."""

import json
from pathlib import Path

import openpyxl
import pytest

from ripenroom.records.book import Book
from ripenroom.records.file import SeasonFile
from tests.cli.conftest import Call

PICKS = """batch,date picked,count,note
,2026-09-29 08:30,24,first
,2026-09-29 09:10,many,second
,2026-09-30 07:50,31,third
,2026-13-30,12,fourth
"""


def book_in(path: Path) -> Book:
    file = SeasonFile.open(path, read_only=True)
    book = file.read()
    file.close()
    return book


def notes(path: Path) -> set[str]:
    return {batch.note for batch in book_in(path).batches.values()}


@pytest.fixture
def picks(tmp_path: Path) -> Path:
    path = tmp_path / "picks.csv"
    path.write_text(PICKS, "utf-8")
    return path


def test_right_rows_are_written_and_wrong_ones_listed_by_their_line(
    call: Call, season: Path, picks: Path
) -> None:
    usual = ("--kind", "picks", "--crop", "pawpaw", "--place", "cold room")
    answer = call("import", season, picks, *usual)
    assert answer.code == 2
    assert answer.out == "2 picks saved, 2 rows left out\n"
    assert answer.err.splitlines() == [
        "ripenroom: line 3: count must be a whole number",
        "ripenroom: line 5: picked_at must be a day in the calendar",
    ]
    assert {"first", "third"} <= notes(season)
    assert not {"second", "fourth"} & notes(season)


def test_a_workbook_is_read_too_and_its_kind_is_guessed(
    call: Call, season: Path, tmp_path: Path
) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ["Place", "Kind", "Set point", "Capacity"],
        ["New cold room", "cold room", 4, 20],
        ["Porch", "cool shelf", 14, 6],
    ):
        sheet.append(row)
    book.save(tmp_path / "places.xlsx")
    answer = call("import", season, tmp_path / "places.xlsx")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == "2 places saved, 0 rows left out\n"
    assert {"New cold room", "Porch"} <= {p.name for p in book_in(season).places.values()}


def test_without_crop_or_place_rows_say_what_they_lack(
    call: Call, season: Path, picks: Path
) -> None:
    before = season.read_bytes()
    answer = call("import", season, picks, "--kind", "picks")
    assert answer.code == 2
    assert "line 2: " in answer.err
    assert "0 picks saved, 4 rows left out" in answer.out
    assert season.read_bytes() == before


def test_dates_that_can_be_read_two_ways_are_asked_about(
    call: Call, season: Path, tmp_path: Path
) -> None:
    table = tmp_path / "picks.csv"
    table.write_text("date,crop,place,count,note\n09/10/2026,pawpaw,Cold room,8,old\n", "utf-8")
    answer = call("import", season, table)
    assert answer.code == 2
    assert answer.said_in_one_line("--dates")
    assert call("import", season, table, "--dates", "mdy").code == 0
    [batch] = [b for b in book_in(season).batches.values() if b.note == "old"]
    assert batch.picked_at.date().isoformat() == "2026-09-10"


@pytest.mark.parametrize(
    ("locale", "said"), [("en_US.UTF-8", "Sep 10, 2026"), ("en_GB.UTF-8", "9 Oct 2026")]
)
def test_the_locale_says_which_comes_first_and_that_is_said_in_words(
    call: Call,
    season: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    locale: str,
    said: str,
) -> None:
    monkeypatch.setenv("LC_ALL", locale)
    table = tmp_path / "picks.csv"
    table.write_text("date,crop,place,count,note\n09/10/2026,pawpaw,Cold room,8,old\n", "utf-8")
    answer = call("import", season, table)
    assert f"“09/10/2026” is read as {said}: if not, say --dates" in answer.err


def test_odd_values_are_kept_only_with_yes(call: Call, season: Path, tmp_path: Path) -> None:
    table = tmp_path / "picks.csv"
    table.write_text(
        "date,crop,place,count,firmness,unit,probe,note\n"
        "2026-09-29,pawpaw,Cold room,8,30,N,11,ripe for picked fruit\n",
        "utf-8",
    )
    answer = call("import", season, table)
    assert answer.code == 2
    assert "--yes" in answer.err
    assert call("import", season, table, "--yes").code == 0
    assert "ripe for picked fruit" in notes(season)


def test_what_is_no_table_or_lacks_columns_is_said_in_a_line(
    call: Call, season: Path, tmp_path: Path
) -> None:
    table = tmp_path / "letter.txt"
    table.write_text("Dear grower", "utf-8")
    assert call("import", season, table).said_in_one_line("it needs headings and rows")
    table.write_text("a,b\n1,2\n", "utf-8")
    answer = call("import", season, table, "--kind", "checks")
    assert answer.said_in_one_line("columns that are not here", "batch")
    missing = call("import", season, tmp_path / "none.csv")
    assert missing.code == 2
    assert missing.said_in_one_line("none.csv")


def test_a_season_written_as_json_becomes_a_season_file_again(
    call: Call, season: Path, tmp_path: Path
) -> None:
    written, again = tmp_path / "farm.json", tmp_path / "again.ripenroom"
    assert call("export", season, written).code == 0
    answer = call("import", again, written)
    assert (answer.code, answer.err) == (0, "")
    assert book_in(again) == book_in(season)
    over = call("import", season, written)
    assert over.code == 2
    assert over.said_in_one_line("already there")


def test_json_that_names_what_is_not_there_makes_no_file(
    call: Call, season: Path, tmp_path: Path
) -> None:
    written, again = tmp_path / "farm.json", tmp_path / "again.ripenroom"
    call("export", season, written)
    whole = json.loads(written.read_text("utf-8"))
    whole["moves"][0]["batch_id"] = "nobody"
    written.write_text(json.dumps(whole), "utf-8")
    answer = call("import", again, written)
    assert answer.code == 2
    assert len(answer.err.splitlines()) == 1
    whole["season"]["zone"] = "Mars/Crater"
    written.write_text(json.dumps(whole), "utf-8")
    assert call("import", again, written).said_in_one_line("Mars/Crater")
    assert not again.exists()


def test_one_row_is_no_rows(call: Call, season: Path, tmp_path: Path) -> None:
    path = tmp_path / "one.csv"
    path.write_text("date picked,count\n2026-09-29 08:30,24\n", "utf-8")
    usual = ("--kind", "picks", "--crop", "pawpaw", "--place", "cold room")
    answer = call("import", season, path, *usual)
    assert answer.out == "1 pick saved, 0 rows left out\n"


def test_a_line_that_is_too_long_is_said_to_be(call: Call, season: Path, tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text(
        f"date picked,count,note\n2026-09-29 08:30,24,{'x' * 29_000}\n2026-09-30,9,good\n", "utf-8"
    )
    usual = ("--kind", "picks", "--crop", "pawpaw", "--place", "cold room")
    answer = call("import", season, path, *usual)
    assert answer.err.splitlines() == [
        "ripenroom: line 2: This line is too long: it has more than 20000 characters."
    ]
    assert answer.out == "1 pick saved, 1 row left out\n"
