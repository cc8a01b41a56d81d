"""``ripenroom setpoints``."""

import csv
import shutil
from pathlib import Path

import pytest

from ripenroom.exchange.plan_tables import SETPOINT_COLUMNS
from tests.cli.conftest import Call
from tests.worked_out import advised_once


@pytest.fixture
def season(written_few: Path, tmp_path: Path) -> Path:
    """A season in which little is to be decided."""
    return Path(shutil.copyfile(written_few, tmp_path / "farm.ripenroom"))


@pytest.mark.long
@advised_once
def test_it_prints_advice_and_every_setting_that_was_tried(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("setpoints", season)
    assert (answer.code, answer.err) == (0, "")
    words, table = answer.out.split("\n\n")
    assert words.startswith("Cold room and Ripening room: ")
    assert "\nCold room: " in words
    assert "\nRipening room: " in words
    head, *rows = table.splitlines()
    assert head.split()[:3] == ["place", "set", "point"]
    assert all(row.count(" °C") == 2 and "€" in row and row.count(" %") == 2 for row in rows[:35])
    assert len(rows) >= 7 * 5
    assert season.read_bytes() == before


@advised_once
def test_a_csv_file_is_written_and_the_advice_still_said(
    call: Call, season: Path, tmp_path: Path
) -> None:
    path = tmp_path / "settings.csv"
    answer = call("setpoints", season, "--csv", path)
    with path.open(newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert answer.code == 0
    assert answer.err == f"{len(rows)} settings saved in {path}\n"
    assert answer.out.startswith("Cold room and Ripening room: ")
    assert tuple(rows[0]) == SETPOINT_COLUMNS
    assert len({(row["set_point_c"], row["other_set_point_c"]) for row in rows[:35]}) == 35
    assert all(float(row["value"]) > 0.0 for row in rows)


def test_with_nothing_to_sell_it_says_so(call: Call, season: Path) -> None:
    answer = call("setpoints", season, "--from", "2026-08-01")
    assert answer.code == 0
    assert answer.out.startswith("No advice yet: ")


def test_a_season_is_never_written_over(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("setpoints", season, "--csv", season)
    assert answer.code == 2
    assert answer.said_in_one_line("choose another name")
    assert season.read_bytes() == before
