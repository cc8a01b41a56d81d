"""Rows of statement files: what is no table of statements is refused by line, and what to do."""

from pathlib import Path

import pytest

from ripenroom.records.crop.statement_rows import (
    COLUMNS,
    LARGEST_FILE_BYTES,
    StatementError,
    rows_of,
)

HEAD = ",".join(COLUMNS).encode()
LINE = b"days to ready,picked,20,,4,6,days,trial,made,,"


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "bad.csv: the first line needs to be asks,start,"),
        (b'"', "bad.csv, line 1: a quotation mark opens here and is not closed; close it"),
        (HEAD[:-5], "bad.csv: the first line needs to be"),
        (HEAD + b",more\n" + LINE, "bad.csv: the first line needs to be"),
        (HEAD + b"\n" + LINE + b"\n" + LINE + b",x,y", "bad.csv, line 3: needs 11 cells"),
        (HEAD + b"\n" + LINE[:-1], "bad.csv, line 2: needs 11 cells"),
        (
            HEAD + b"\n" + LINE + b'\n\n"unclosed\n' + LINE,
            "bad.csv, line 4: a quotation mark opens here and is not closed; close it",
        ),
        (
            HEAD + b"\n" + LINE + b'"closed" and more',
            "bad.csv, line 2: more stands after a cell in quotation marks; put all of the cell",
        ),
        (HEAD + b"\n" + LINE + b"x" * 200_000, "bad.csv, line 2: a cell is longer than 400 lett"),
        (HEAD + b"\n" + LINE + b'"two\nlines"', "bad.csv, line 2: note: holds a line break"),
        (HEAD + b"\n" + LINE + b"a\x00b", "bad.csv, line 2: note: holds a character that"),
        (HEAD + b"\n" + LINE + b"\n" + LINE + b'"one\ntwo",x', "bad.csv, line 3: needs 11"),
        (HEAD + b"\n" + LINE + "Çandır".encode("latin-1", "replace"), "bad.csv: is not UTF-8"),
        ((HEAD + b"\n" + LINE).decode().encode("utf-16"), "bad.csv: is not UTF-8: byte 1"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_table_of_statements_is_refused_by_name(
    tmp_path: Path, content: bytes, reason: str
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(content)
    with pytest.raises(StatementError) as caught:
        list(rows_of(path))
    assert reason in str(caught.value)
    assert str(caught.value).startswith(("bad.csv: ", "bad.csv, line "))


def test_signs_of_byte_order_and_either_end_of_line_are_taken(tmp_path: Path) -> None:
    path = tmp_path / "pear.csv"
    path.write_bytes(b"\xef\xbb\xbf" + HEAD + b"\r\n" + LINE + b"\r\n\r\n" + LINE + b"\r\n")
    assert len(list(rows_of(path))) == 2


def test_a_file_larger_than_any_of_use_is_refused_with_the_line_and_what_to_do(
    tmp_path: Path,
) -> None:
    path = tmp_path / "pear.csv"
    line = LINE + b"\n"
    path.write_bytes(HEAD + b"\n" + line * (LARGEST_FILE_BYTES // len(line) + 1))
    last = 2 + (LARGEST_FILE_BYTES - len(HEAD) - 1) // len(line)
    with pytest.raises(StatementError) as caught:
        list(rows_of(path))
    assert str(caught.value) == (
        f"pear.csv, line {last}: the file is larger than 500 kB here; "
        "keep the statements of one crop in it, without the rest"
    )


def test_what_is_no_file_is_refused_by_name(tmp_path: Path) -> None:
    path = tmp_path / "pear.csv"
    path.mkdir()
    with pytest.raises(StatementError, match=r"pear\.csv: it is not a file, but a folder"):
        list(rows_of(path))


def test_rows_are_named_by_the_line_in_which_they_begin(tmp_path: Path) -> None:
    path = tmp_path / "pear.csv"
    path.write_bytes(HEAD + b"\r\n" + LINE + b"kept\r\n\r\n" + LINE + b'"a, b"')
    (first, row), (second, other) = rows_of(path)
    assert (first, second) == ("pear.csv, line 2", "pear.csv, line 4")
    assert (row["low"], row["note"], other["note"]) == ("4", "kept", "a, b")
