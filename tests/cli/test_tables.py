"""Where a command's table goes."""

import argparse
from pathlib import Path

import pandas as pd
import pytest

from ripenroom.cli.answer import LINES, add_table_arguments, why_no_csv, write_table


def options(*given: object) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    add_table_arguments(parser)
    return parser.parse_args([str(argument) for argument in given])


def test_a_table_may_be_printed_or_go_to_any_other_file(season: Path, tmp_path: Path) -> None:
    assert why_no_csv(options(season)) is None
    assert why_no_csv(options(season, "--csv", tmp_path / "t.csv")) is None


def test_no_table_goes_where_a_season_is_or_could_be(season: Path, tmp_path: Path) -> None:
    link = tmp_path / "t.csv"
    link.symlink_to(season)
    for path in (season, link, tmp_path / "new.ripenroom"):
        assert "named as season files are" in (why_no_csv(options(season, "--csv", path)) or "")


@pytest.mark.parametrize(("rows", "said"), [(1, "1 line"), (2, "2 lines"), (0, "0 lines")])
def test_it_says_what_was_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], rows: int, said: str
) -> None:
    path = tmp_path / "t.csv"
    assert write_table(pd.DataFrame({"n": range(rows)}), path, LINES) == 0
    assert capsys.readouterr().err == f"{said} saved in {path}\n"
    assert len(path.read_text().splitlines()) == 1 + rows


def test_a_file_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "no folder" / "t.csv"
    assert write_table(pd.DataFrame({"n": [1]}), path, LINES) == 2
    assert f"{path} cannot be written" in capsys.readouterr().err
