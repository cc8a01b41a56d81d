"""Everything out as tables, and that no spreadsheet finds a formula in them."""

import zipfile
from dataclasses import replace
from pathlib import Path
from shutil import copyfile

import openpyxl
import pandas as pd
import pytest

from ripenroom.exchange.season_tables import PICK_COLUMNS, season_tables
from ripenroom.exchange.table_writing import write_csv, write_workbook
from ripenroom.season import actions
from ripenroom.season.actions.table_rows import FEEL_KEYS
from ripenroom.season.season import Season
from tests.draws import one_in
from tests.season.farm import season_record


@pytest.fixture
def season(written_practice: Path, tmp_path: Path) -> Season:
    return Season.open(Path(copyfile(written_practice, tmp_path / "demo.ripenroom")))


def test_every_record_is_in_its_table(season: Season) -> None:
    book, tables = season.book, season_tables(season)
    assert len(tables["picks"]) == len(book.batches)
    assert len(tables["moves"]) == len(book.moves)
    assert len(tables["checks"]) == len(book.checks)
    assert len(tables["sold and discarded"]) == len(book.removals)
    assert len(tables["places"]) == len(book.places)
    wants = tables["market days"]["wanted"].dropna()
    assert wants.sum() == sum(want.count for want in book.wants.values())
    picks = tables["picks"].set_index("batch")
    assert tuple(tables["picks"].columns) == PICK_COLUMNS
    for batch in book.batches.values():
        row = picks.loc[batch.code]
        assert pd.Timestamp(str(row["picked_at"])) == pd.Timestamp(
            batch.picked_at.replace(second=0)
        )
        assert row["count"] == batch.count
        if batch.feel_counts:
            assert tuple(row[list(FEEL_KEYS)]) == batch.feel_counts


def test_an_empty_season_has_empty_tables(tmp_path: Path) -> None:
    season = Season.create(tmp_path / "new.ripenroom", season_record())
    tables = season_tables(season)
    assert all(table.empty for table in tables.values())
    write_workbook(tables, tmp_path / "new.xlsx")
    assert openpyxl.load_workbook(tmp_path / "new.xlsx").sheetnames == list(tables)
    season.close()


DANGEROUS = ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", '=HYPERLINK("x")']


@pytest.mark.parametrize("text", one_in(3, DANGEROUS))
def test_no_cell_is_a_formula(season: Season, text: str, tmp_path: Path) -> None:
    batch = next(iter(season.book.batches.values()))
    season.do(actions.batches.change, replace(batch, note=text))
    note = season.book.batches[batch.id].note
    tables = season_tables(season)
    write_workbook(tables, tmp_path / "out.xlsx")
    with zipfile.ZipFile(tmp_path / "out.xlsx") as parts:
        sheets = [n for n in parts.namelist() if n.startswith("xl/worksheets/")]
        assert len(sheets) == len(tables)
        assert not any(b"<f>" in parts.read(n) or b"<f " in parts.read(n) for n in sheets)
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["picks"]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value == note]
    assert [cell.data_type for cell in cells] == ["s"]
    write_csv(tables["picks"], tmp_path / "out.csv")
    notes = pd.read_csv(tmp_path / "out.csv", dtype=str)["note"].dropna()
    assert not any(note[0] in "=+-@\t\r" for note in notes)


def test_texts_of_any_kind_come_through(season: Season, tmp_path: Path) -> None:
    texts = ["é" * 9_000, "צפון \u202eabc", "a\"b'c;d,e\nf", "\U0001f351"]
    ids = list(season.book.batches)[: len(texts)]
    for key, text in zip(ids, texts, strict=True):
        season.do(actions.batches.change, replace(season.book.batches[key], note=text))
    write_workbook(season_tables(season), tmp_path / "out.xlsx")
    table = pd.read_excel(tmp_path / "out.xlsx", sheet_name="picks").set_index("batch")
    for key, text in zip(ids, texts, strict=True):
        assert table.loc[season.book.batches[key].code, "note"] == text
    season.close()
