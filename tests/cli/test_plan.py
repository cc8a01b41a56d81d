"""``ripenroom plan``."""

import csv
import re
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.cli.arguments import planned
from ripenroom.cli.reader import CommandReader
from ripenroom.exchange.plan_tables import PLAN_COLUMNS
from ripenroom.records.book import new_id
from ripenroom.records.file import SeasonFile
from ripenroom.records.market import ExpectedPick, Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.season import Season
from ripenroom.wording.plan.worth import at_risk, verdict
from tests.cli.conftest import Call
from tests.season.farm import NOW, SHELF, batch_and_move, farm_records, market, season_record
from tests.season.writing import write


def test_it_prints_where_every_crate_goes_and_what_that_is_worth(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("plan", season)
    assert (answer.code, answer.err) == (0, "")
    head, *lines = answer.out.splitlines()
    assert head.split()[:3] == ["crop", "feel", "fruit"]
    assert not re.search(r"\d{4}-\d\d-\d\d", answer.out)
    assert re.search(r" \w{3} \d+ \w{3}, 18:00 ", answer.out)
    worth = {
        name: [int(number) for number in re.findall(r"\d+", said)]
        for name, _, said in (line.partition(": sold €") for line in lines)
        if said
    }
    ours, *rules = worth
    assert ours == "This plan"
    assert rules == ["Oldest pick first", "Soonest past first", "As it is, nothing moved"]
    assert len(lines[: lines.index(next(line for line in lines if ours in line))]) > 10
    for value, low, high, kept, work, total in worth.values():
        assert 0 < low < value < high
        assert value + kept - work == total
    assert all(worth[rule][-1] < worth[ours][-1] for rule in rules)
    # The sentences of the page Plan, from the same words.
    with closing(Season.open(season, read_only=True)) as living:
        living.learn()
        update = planned(living)
        reader = CommandReader(living, update)
        for sentence in (
            verdict(update.plan, reader.words),
            *at_risk(update.plan, reader),
        ):
            assert sentence in lines
        # Crates are whole: of the few that near market days want, some hundredths are soon lost.
        assert 0.0 <= update.plan.gap < 0.03
        assert 0.0 < update.plan.outcome.value.mean < update.plan.with_likely.value.mean
    assert season.read_bytes() == before


def test_a_csv_file_is_written_instead(call: Call, season: Path, tmp_path: Path) -> None:
    path = tmp_path / "plan.csv"
    answer = call("plan", season, "--csv", path)
    with path.open(newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == f"{len(rows)} lines saved in {path}\n"
    assert tuple(rows[0]) == PLAN_COLUMNS
    assert all(int(row["crates"]) >= 1 for row in rows)
    # The lines add up to what is said of all of them.
    with closing(Season.open(season, read_only=True)) as living:
        living.learn()
        value = planned(living).plan.outcome.value.mean / 100.0
    worth = sum(float(row["expected_value"] or 0.0) for row in rows)
    assert worth == pytest.approx(value, abs=0.01 * len(rows))


def test_from_another_date(call: Call, few_season: Path) -> None:
    dates = "2026-10-01", "2026-10-04"
    printed = {at: call("plan", few_season, "--from", at).out for at in dates}
    assert "Sat 3 Oct Quayside market" in printed["2026-10-01"]
    assert "Sat 3 Oct Quayside market" not in printed["2026-10-04"]
    assert "Orchard gate, Sun 4 Oct: " in printed["2026-10-04"]


def test_a_pin_that_cannot_be_kept_is_told_aside(call: Call, few_season: Path) -> None:
    with closing(Season.open(few_season)) as living:
        batch = next(iter(living.book.batches.values()))
        write(living, Action("pin", (Pin(id="pin", batch_id=batch.id, crates=999),)))
    answer = call("plan", few_season)
    assert answer.code == 0
    assert f"A pin of {batch.code} cannot be kept: " in answer.err


def test_before_the_first_pick_and_long_after_the_last_market(call: Call, season: Path) -> None:
    answer = call("plan", season, "--from", "2026-08-01")
    first, *lines = answer.out.splitlines()
    assert (answer.code, first) == (0, "No fruit to plan for.")
    assert "This plan: sold €0 (0–0) − €0 for moving crates = €0" in lines
    assert "Nothing can be sold as things stand." in lines
    assert "Another plan" not in answer.out
    answer = call("plan", season, "--from", "2100-01-01")
    assert (answer.code, answer.err) == (0, "")
    assert "This plan: sold €0 (0–0) " in answer.out


def test_what_is_no_date(call: Call, season: Path) -> None:
    answer = call("plan", season, "--from", "soon")
    assert answer.code == 2
    assert answer.said_in_one_line("--from:", "soon")


def test_a_season_is_never_written_over(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("plan", season, "--csv", season)
    assert answer.code == 2
    assert answer.said_in_one_line("choose another name")
    assert season.read_bytes() == before


def test_a_worth_under_the_smallest_coin_leaves_no_gap(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "green.ripenroom"
    day, wants = market(3, {"pawpaw": 30})
    priced = [replace(want, price_minor=200) for want in wants]
    records = [*farm_records(), *batch_and_move(1, SHELF, count=40), day, *priced]
    SeasonFile.create(path, season_record(practice_now=NOW), records).close()
    with closing(Season.open(path, read_only=True)) as living:
        assert planned(living).plan.outcome.value.mean < 0.5
    assert "Another plan" not in call("plan", path).out


def test_it_says_which_picks_it_reckons_with(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "picking.ripenroom"
    records = [*farm_records(), *market(3, {"pawpaw": 30})[1], market(3, {})[0]]
    later, wants = market(9, {"pawpaw": 90})
    records += [later, *wants]
    for days in (1, 3, 5):
        picked_at = NOW - timedelta(days=days)
        records += batch_and_move(days, SHELF, count=40, picked_at=picked_at)
    SeasonFile.create(path, season_record(practice_now=NOW), records).close()
    lines = call("plan", path).out.splitlines()
    (said,) = (line for line in lines if line.startswith("Likely to come: "))
    # The rules are told with these picks, so the plan is told with them too.
    assert "Picks that are only likely count in these figures, on no other page." in lines
    with closing(Season.open(path)) as living:
        # As the window says it: all that is likely, not only what the market days ahead may get.
        (crop,) = living.ask.likely_crops()
        last = crop.last
        plan = planned(living).plan
        assert crop.first < plan.likely[-1].on < last
        worth = round(plan.with_likely.value.mean / 100.0)
        assert worth > plan.outcome.value.mean / 100.0
        assert any(line.startswith(f"This plan: sold €{worth} ") for line in lines)
        low, mid, high = crop.count
        first = f"{crop.first:%a} {crop.first.day} {crop.first:%b}"
        assert f": about {mid} more pawpaws ({low}–{high}) from {first} " in said
        assert f" to {last:%a} {last.day} {last:%b}, going by your last 3 picking days" in said
        assert " picking days. The plan keeps room for them" in said
        assert "Expected picks (Ctrl+E)" in said
        picks = [line for line in lines if line.startswith("  About ")]
        assert len(picks) == len(living.ask.likely_picks())
        assert f" on {first} · likely" in picks[0]
        own = ExpectedPick(id=new_id(), crop="pawpaw", on=last, count=30, place_id=SHELF)
        living.do(actions.ahead.save_expected_pick, own)
    assert "likely" not in call("plan", path).out


def test_after_one_day_of_picking_it_says_that_nobody_knows_how_many_come_later(
    call: Call, tmp_path: Path
) -> None:
    path = tmp_path / "first.ripenroom"
    day, wants = market(9, {"pawpaw": 300})
    records = [*farm_records(), day, *wants, *batch_and_move(1, SHELF, count=40)]
    SeasonFile.create(path, season_record(practice_now=NOW), records).close()
    said = call("plan", path).out
    assert (
        "Likely to come: about 40 more pawpaws (0–85) on Sat 3 Oct, going by your only picking "
        "day; how many come later shows from the second on. "
    ) in said


def test_with_one_market_day_ahead_it_says_that_more_are_missing(
    call: Call, few_season: Path
) -> None:
    assert "No market day" not in call("plan", few_season).out
    with closing(Season.open(few_season)) as living:
        now = living.now()
        ahead = sorted(
            (day for day in living.book.market_days.values() if day.starts_at > now),
            key=lambda day: day.starts_at,
        )
        for day in ahead[1:]:
            living.do(actions.ahead.delete_market_day, day.id)
        last = ahead[0].starts_at.astimezone(living.zone)
    # More than it wants, and hard enough to keep.
    picked = ("--crop", "pawpaw", "--place", "Cold room", "--feel", "0 75 0 0")
    assert call("add-pick", few_season, *picked, "--yes").code == 0
    lines = call("plan", few_season).out.splitlines()
    said = lines.index(next(line for line in lines if line.startswith("No market day after ")))
    assert lines[said].startswith(f"No market day after {last:%a} {last.day} {last:%b} wants ")
    assert any(line.startswith("Kept for later: about ") for line in lines[said + 1 :])
