"""``ripenroom log`` and ``ripenroom rooms``."""

import csv
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.exchange.farm_tables import ROOM_COLUMNS
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.cli.conftest import Call


def table(tmp_path: Path, heading: str, *rows: str) -> Path:
    path = tmp_path / "logger.csv"
    path.write_text("\n".join([heading, *rows]) + "\n", "utf-8")
    return path


def good(tmp_path: Path) -> Path:
    rows = (f"2026-09-24 08:{n:02};{4 + n / 10:.1f};{14 + n / 10:.1f}" for n in range(30))
    return table(tmp_path, "time;in (°C);out (°C)", *rows, "2026-09-24 09:00;ERR;15,0")


def test_a_probe_is_taken_into_a_place(call: Call, season: Path, tmp_path: Path) -> None:
    answer = call("log", season, "cold room", good(tmp_path), "--probe", "in (°C)")
    assert answer.code == 0
    assert answer.out == (
        "Cold room: 30 readings of in (°C) imported, 24 Sep 2026, 08:00 to 24 Sep 2026, 08:29\n"
    )
    assert "line 32" in answer.err
    with closing(Season.open(season)) as opened:
        assert opened.undo_label == "temperature log of Cold room"


@pytest.mark.parametrize(
    ("place", "options", "said"),
    [
        ("attic", (), "no place “attic”"),
        ("cold room", (), "--probe: Say which column"),
        ("cold room", ("--probe", "RH"), "--probe: Say which column"),
    ],
)
def test_what_is_not_clear_is_refused(
    call: Call, season: Path, tmp_path: Path, place: str, options: tuple[str, ...], said: str
) -> None:
    before = season.read_bytes()
    answer = call("log", season, place, good(tmp_path), *options)
    assert answer.code == 2
    assert answer.said_in_one_line(said)
    assert season.read_bytes() == before


def test_what_the_file_does_not_tell_is_asked(call: Call, season: Path, tmp_path: Path) -> None:
    path = table(tmp_path, "time;t", *(f"03/04/2026 08:{n:02};{36 + n / 10}" for n in range(30)))
    ask = ("log", season, "cold room", path)
    assert call(*ask).said_in_one_line("--dates", "dmy or mdy")
    assert call(*ask, "--dates", "mdy").said_in_one_line("--unit", "C or F")
    answer = call(*ask, "--dates", "mdy", "--unit", "F", "--clock", "utc")
    assert "4 Mar 2026, 08:00 to 4 Mar 2026, 08:29" in answer.out


def test_a_file_that_is_none_is_refused(call: Call, season: Path, tmp_path: Path) -> None:
    answer = call("log", season, "cold room", tmp_path / "gone.csv")
    assert answer.code == 2
    assert answer.said_in_one_line("gone.csv is not there")


def test_rooms_tells_what_dials_hide(call: Call, season: Path, tmp_path: Path) -> None:
    answer = call("rooms", season)
    head, row = answer.out.splitlines()
    assert "set point" in head
    assert row.split()[:2] == ["Old", "fridge"]
    assert row.count(" °C") == 4
    assert " Thu 1 Oct, 07:00 " in row
    path = tmp_path / "rooms.csv"
    assert call("rooms", season, "--csv", path).code == 0
    with path.open(newline="") as lines:
        (written,) = csv.DictReader(lines)
    assert tuple(written) == ROOM_COLUMNS
    assert written["crop"] == "avocado"
    assert 1.2 < float(written["ageing_factor"]) < 1.6


def test_rooms_are_told_in_the_units_of_the_season(call: Call, season: Path) -> None:
    with closing(Season.open(season)) as opened:
        details = replace(opened.book.season, units="us")
        opened.do(actions.season.save, details)
    _, row = call("rooms", season).out.splitlines()
    assert row.count(" °F") == 4
    assert "°C" not in row


def test_rooms_without_a_log_say_so(call: Call, season: Path) -> None:
    with closing(Season.open(season)) as opened:
        for log_id in list(opened.book.temperature_logs):
            opened.do(actions.places.delete_log, log_id)
    assert call("rooms", season).out == "No place has a temperature log.\n"
