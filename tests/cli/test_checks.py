"""``ripenroom checks``."""

import csv
from contextlib import closing
from pathlib import Path

import pytest

from ripenroom.exchange.plan_tables import CHECK_COLUMNS
from ripenroom.season.advice.check_next import MOST_BATCHES, check_next
from ripenroom.season.season import Season
from tests.cli.conftest import Call


def test_it_prints_what_to_squeeze_the_largest_gain_first(call: Call, few_season: Path) -> None:
    before = few_season.read_bytes()
    answer = call("checks", few_season)
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert 0 < len(lines) <= MOST_BATCHES
    with closing(Season.open(few_season, read_only=True)) as living:
        living.learn()
        checks = check_next(living.state)
        assert len(lines) == len(checks)
        for line, check in zip(lines, checks, strict=True):
            place = living.place_of(check.batch_id)
            assert place is not None
            code = living.book.batches[check.batch_id].code
            assert f": {code}, {place.name}. Shows " in line
            assert line.startswith(f"{check.fruit} ")
            assert ("worth about €" in line or "worth under €" in line) is (
                round(check.gain_minor) > 0
            )
    assert few_season.read_bytes() == before


def test_it_is_what_the_window_says(call: Call, few_season: Path, tmp_path: Path) -> None:
    path = tmp_path / "checks.csv"
    answer = call("checks", few_season, "--csv", path)
    with path.open(newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert tuple(rows[0]) == CHECK_COLUMNS
    assert [float(row["gain"]) for row in rows] == sorted(
        (float(row["gain"]) for row in rows), reverse=True
    )
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == f"{len(rows)} checks saved in {path}\n"
    with closing(Season.open(few_season, read_only=True)) as living:
        living.learn()
        found = check_next(living.state)
        assert len(rows) == len(found)
        for row, check in zip(rows, found, strict=True):
            place, day = living.place_of(check.batch_id), check.market_day_id
            assert place is not None
            name = living.book.market_days[day].name if day else ""
            assert row["batch"] == living.book.batches[check.batch_id].code
            assert (row["fruit"], row["place"]) == (str(check.fruit), place.name)
            assert row["tells"] == check.reason.value
            assert row["market_day"].endswith(name)
            assert float(row["gain"]) == pytest.approx(check.gain_minor / 100.0, abs=0.006)


def test_where_no_check_would_change_a_thing_it_says_so(call: Call, season: Path) -> None:
    answer = call("checks", season, "--from", "2026-08-01")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == "Nothing to squeeze: no check would change the plan now.\n"


def test_what_is_no_date(call: Call, season: Path) -> None:
    answer = call("checks", season, "--from", "soon")
    assert answer.code == 2
    assert answer.said_in_one_line("--from:", "soon")


def test_a_season_is_never_written_over(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("checks", season, "--csv", season)
    assert answer.code == 2
    assert answer.said_in_one_line("choose another name")
    assert season.read_bytes() == before
