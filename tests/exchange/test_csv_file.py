"""Tables as CSV files."""

import unicodedata
from pathlib import Path

import pandas as pd
import pytest

from ripenroom.exchange.table_writing import plain_cell, write_csv


@pytest.mark.parametrize(
    "risky",
    [
        *("=1+1", "+1", "-2+3", "@SUM(A1)", "\tx", "＝1+1", "＋1", "－2+3", "＠SUM(A1)"),
    ],
)
@pytest.mark.parametrize("column", ["batch", "market_day"])
def test_no_text_is_a_formula_whatever_its_column(tmp_path: Path, risky: str, column: str) -> None:
    path = tmp_path / "t.csv"
    write_csv(pd.DataFrame({column: [risky, "plain"]}), path)
    assert pd.read_csv(path)[column].tolist() == [f"'{risky}", "plain"]


@pytest.mark.parametrize(
    ("text", "written"),
    [
        (" =1+1", " '=1+1"),
        ("\r=1+1", "'\r'=1+1"),
        ("wet; =1+1", "wet; '=1+1"),
        ("wet\n＝1+1", "wet\n'＝1+1"),
        ("wet|@SUM(A1)", "wet|'@SUM(A1)"),
        *((f"{blank}=1+1", f"{blank}'=1+1") for blank in "\u200b\ufeff\u2060\u2009\xad\u202f"),
        *((f"{sign}1+1", f"'{sign}1+1") for sign in "\ufe62\ufe63\ufe66"),
        ("P-0911-1", "P-0911-1"),
        ("a = b, c + d", "a = b, c + d"),
    ],
)
def test_nor_is_what_another_reader_takes_for_a_cell(text: str, written: str) -> None:
    assert plain_cell(text) == written


def test_every_space_and_unseen_character_may_stand_before_a_formula() -> None:
    blanks = [chr(n) for n in range(0x110000) if unicodedata.category(chr(n)) in ("Cf", "Zs")]
    assert [blank for blank in blanks if plain_cell(f"{blank}=1+1") != f"{blank}'=1+1"] == []


def test_nor_is_the_head_of_a_column(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    write_csv(pd.DataFrame({"=1+1": [1]}), path)
    assert path.read_text() == "'=1+1\n1\n"


def test_numbers_stay_numbers(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    write_csv(pd.DataFrame({"n": [-3, 4], "x": [-0.5, 2.0]}), path)
    assert path.read_bytes() == b"n,x\n-3,-0.5\n4,2.0\n"
    write_csv(pd.DataFrame({"low_c": ["-0.50", "-1"]}), path)
    assert path.read_bytes() == b"low_c\n-0.50\n-1\n"


def test_a_name_that_ends_in_gz_is_still_text(tmp_path: Path) -> None:
    path = tmp_path / "t.csv.gz"
    write_csv(pd.DataFrame({"place": ["Kühlraum № 1"]}), path)
    assert path.read_text(encoding="utf-8") == "place\nKühlraum № 1\n"


def test_an_empty_table_has_its_columns_alone(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    write_csv(pd.DataFrame([], columns=["batch", "crates"]), path)
    assert path.read_text() == "batch,crates\n"
