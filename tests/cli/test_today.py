"""``ripenroom today``."""

import csv
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from ripenroom.exchange.day_sheet_table import COLUMNS
from ripenroom.records.file import SeasonFile
from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.season import Season
from tests.cli.conftest import Call
from tests.season.farm import farm_records, season_record
from tests.season.writing import write

_ROWS = "In the rows, going by counts and walks:"


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(newline="") as lines:
        return list(csv.DictReader(lines))


def test_it_prints_what_to_do_in_its_order_and_why_the_rest_stays(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("today", season)
    assert (answer.code, answer.err) == (0, "")
    head, *lines = answer.out.splitlines()
    assert head == "Saltmeadow Orchard, Thursday 1 October 2026"
    titles = [line for line in lines if not line.startswith(" ")]
    assert titles == [
        "Squeeze before you move or pack:",
        "Move, in this order:",
        "Squeeze:",
        "Past, to clear when you like:",
        _ROWS,
        "What stays, and why:",
    ]
    rows = lines[lines.index(_ROWS) + 1 : lines.index("What stays, and why:")]
    assert "  [ ] About 80 (60–100) Middle pawpaws to pick by Fri 2 Oct. Middle row 1, " in (
        "\n".join(rows)
    )
    assert all(line.startswith("  [ ] ") for line in rows)
    moves = lines[lines.index("Move, in this order:") + 1 : lines.index("Squeeze:")]
    assert moves
    goals = [line for line in moves if not line.startswith("  [ ] ")]
    assert all(line.startswith("  To ") and line.endswith(", by 18:00") for line in goals)
    assert len({line.partition(":")[0] for line in goals}) == len(goals)  # each place once
    assert all(line.endswith(".") for line in moves if line not in goals)
    stays = lines[lines.index("What stays, and why:") + 1 :]
    places = [line.strip().removesuffix(":") for line in stays if not line.startswith("    ")]
    assert places == sorted(places)
    assert any(" For Quayside market, Sat 3 Oct: " in line for line in stays)
    assert not any(broken in answer.out for broken in ("None", "nan", "{", "  ;", ".."))
    assert season.read_bytes() == before


def test_a_csv_file_is_written_instead(call: Call, season: Path, tmp_path: Path) -> None:
    path = tmp_path / "today.csv"
    answer = call("today", season, "--csv", path)
    rows = rows_of(path)
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == f"{len(rows)} lines saved in {path}\n"
    assert tuple(rows[0]) == COLUMNS
    moves = [row for row in rows if row["task"] == "move"]
    steps = [int(row["step"]) for row in moves]
    assert steps == sorted(steps)
    assert steps[0] == 1
    assert all(row["from_place"] != row["to_place"] and int(row["crates"]) >= 1 for row in moves)
    assert all(row["by"].startswith("2026-10-01T18:00") for row in moves if row["to_place"])
    assert {row["task"] for row in rows} == {"check first", "move", "check", "past", "stays"}
    assert all(row["why"] for row in rows)


def test_table_and_plan_speak_of_the_same_crates(call: Call, season: Path, tmp_path: Path) -> None:
    """What moves tonight by the plan's table is what the sheet moves."""
    call("today", season, "--csv", tmp_path / "today.csv")
    call("plan", season, "--csv", tmp_path / "plan.csv")
    planned = [
        (row["batch"], row["crates"])
        for row in rows_of(tmp_path / "plan.csv")
        if row["pull_time"].startswith("2026-10-01") or "2026-10-01T" in row["note"]
        if "not picked yet" not in row["note"]
    ]
    sheet = [
        (row["batch"], row["crates"])
        for row in rows_of(tmp_path / "today.csv")
        if row["task"] == "move"
    ]
    assert sorted(sheet) == sorted(planned)


def test_as_on_another_day(call: Call, few_season: Path) -> None:
    answer = call("today", few_season, "--at", "2026-10-02")
    assert answer.code == 0
    assert answer.out.startswith("Saltmeadow Orchard, Friday 2 October 2026\n")
    # The market of tomorrow is packed for.
    assert "Pack:\n  For Quayside market, tomorrow at " in answer.out


def test_after_this_evening_the_next_one_is_told(call: Call, few_season: Path) -> None:
    with closing(Season.open(few_season)) as living:
        now = datetime(2026, 10, 2, 19, tzinfo=living.zone)
        living.read_as_on(now)
        batch_id, place = next(
            (batch.id, place)
            for batch in living.book.batches.values()
            if living.ask.fruit_left(batch.id) > 0
            and (place := living.place_of(batch.id)) is not None
        )
        elsewhere = next(
            other
            for other in living.book.places.values()
            if other.is_destination and other.id != place.id
        )
        moved = now.replace(day=3, hour=18)
        pin = Pin(id="pin", batch_id=batch_id, crates=1, pull_at=moved, place_id=elsewhere.id)
        write(living, Action("pin", (pin,)))
    evening = call("today", few_season, "--at", "2026-10-02T19:00")
    assert ", tomorrow by 18:00" in evening.out


def test_before_the_first_pick(call: Call, season: Path) -> None:
    answer = call("today", season, "--at", "2026-08-01")
    assert answer.code == 0
    rows, *lines = answer.out.splitlines()[1:]
    assert rows == _ROWS
    assert lines
    assert all(" to pick by Fri 28 Aug. " in line for line in lines)


def test_an_empty_season(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "new.ripenroom"
    SeasonFile.create(path, season_record(), farm_records()).close()
    answer = call("today", path)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.splitlines()[1:] == ["Nothing to do today."]


def test_what_was_done_has_a_cross(call: Call, few_season: Path) -> None:
    with closing(Season.open(few_season)) as living:
        batch = next(iter(living.book.batches.values()))
        other = next(p for p in living.book.places.values() if p.name == "Old fridge")
        living.do(actions.moves.move, [batch.id], other.id, living.now())
        left = living.ask.fruit_left(batch.id)
    said = f": {batch.code} moved to Old fridge. Done at "
    (line,) = (line for line in call("today", few_season).out.splitlines() if said in line)
    assert line.startswith(f"  [x] {left} ")


def test_a_pin_that_cannot_be_kept_is_told_aside(call: Call, few_season: Path) -> None:
    with closing(Season.open(few_season)) as living:
        batch = next(iter(living.book.batches.values()))
        write(living, Action("pin", (Pin(id="pin", batch_id=batch.id, crates=999),)))
    answer = call("today", few_season)
    assert answer.code == 0
    assert f"A pin of {batch.code} cannot be kept: " in answer.err


@pytest.mark.parametrize("typed", ["soon", "2026-13-01"])
def test_what_is_no_date(call: Call, season: Path, typed: str) -> None:
    answer = call("today", season, "--at", typed)
    assert answer.code == 2
    assert answer.said_in_one_line("--at:", typed)


def test_a_season_is_never_written_over(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("today", season, "--csv", season)
    assert answer.code == 2
    assert answer.said_in_one_line("farm.ripenroom")
    assert season.read_bytes() == before
