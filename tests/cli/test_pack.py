"""``ripenroom pack``: the list, and what was squeezed as it was packed."""

import csv
import re
from pathlib import Path

import pytest

from ripenroom.exchange.plan_tables import PACKING_COLUMNS
from ripenroom.records.book import Book
from ripenroom.records.file import SeasonFile
from ripenroom.season.season import Season
from tests.cli.conftest import Call

QUAY = "Quayside market"
ONE, TWO = "P-0927-1", "P-0923-2"


def book_in(path: Path) -> Book:
    file = SeasonFile.open(path, read_only=True)
    book = file.read()
    file.close()
    return book


def test_the_list_says_how_many_in_all_and_in_which_order(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("pack", season, "quayside MARKET")
    assert (answer.code, answer.err) == (0, "")
    head, *_ = lines = answer.out.splitlines()
    assert head == "Quayside market, Sat 3 Oct"
    [pawpaw] = [line for line in lines if line.startswith("Pawpaw: pack up to ")]
    assert "that are good to sell. 30 are wanted" in pawpaw
    assert "Good to sell: ready now or within 3 days, as these buyers keep it that long." in pawpaw
    assert re.search(
        r" Squeeze these \d+ first\. About \d+ of them \(\d+ to \d+\) will be good to sell\.$",
        pawpaw,
    )
    # Under each sentence stand the rows that it is about.
    assert " take " in lines[lines.index(pawpaw) + 2]
    opened = lines.index("If too few are good to sell, open next, in this order:")
    assert " open next " in lines[opened + 2]
    assert " leave " in lines[lines.index("Leave at home:") + 2]
    assert any(" take " in line and ONE in line for line in lines)
    assert any("open next" in line for line in lines)
    assert any("leave" in line for line in lines)
    assert season.read_bytes() == before


@pytest.mark.long
def test_once_enough_is_packed_the_list_says_only_that(call: Call, season: Path) -> None:
    assert call("pack", season, QUAY, f"{ONE}=24", f"{TWO}=16").err == ""
    answer = call("pack", season, QUAY)
    assert (answer.code, answer.err) == (0, "")
    [pawpaw] = [line for line in answer.out.splitlines() if line.startswith("Pawpaw: ")]
    assert pawpaw == "Pawpaw: 40 packed, 30 wanted: that is enough."
    _, rest = answer.out.split(f"{pawpaw}\n")
    assert rest.startswith("Leave at home:\n")
    assert not re.search(r" (take|open next) +pawpaw ", answer.out)
    assert re.search(r" leave +pawpaw ", answer.out)


def test_the_list_as_csv(call: Call, season: Path, tmp_path: Path) -> None:
    target = tmp_path / "list.csv"
    answer = call("pack", season, "2026-10-03", "--csv", target)
    assert (answer.code, answer.out) == (0, "")
    rows = list(csv.DictReader(target.open(encoding="utf-8-sig")))
    assert tuple(rows[0]) == PACKING_COLUMNS
    assert f"{len(rows)} lines saved" in answer.err
    opened = [row for row in rows if row["do"] != "leave"]
    assert all(int(row["ready_low"]) <= int(row["ready"]) <= int(row["ready_high"]) for row in rows)
    for crop in {row["crop"] for row in rows}:
        order = [int(row["order"]) for row in opened if row["crop"] == crop]
        assert order == list(range(1, len(order) + 1))
    assert all(row["order"] == "" for row in rows if row["do"] == "leave")


def test_what_was_squeezed_is_one_action(call: Call, season: Path) -> None:
    answer = call("pack", season, QUAY, f"{ONE}=12,7,1", f"{TWO.lower()}=10,6")
    assert (answer.code, answer.err) == (0, "")
    first, *rest = answer.out.splitlines()
    assert first == "Saved: 22 fruit packed for Quayside market."
    assert "Pawpaw: 22 packed, 30 wanted." in rest
    book = book_in(season)
    codes = {batch.id: batch.code for batch in book.batches.values()}
    told = {codes[c.batch_id]: c.feel_counts for c in book.checks.values() if c.picks_over}
    assert told == {ONE: (7, 0, 12, 0, 1), TWO: (6, 0, 10, 0, 0)}
    parts = {codes[b.id]: b.count for b in book.batches.values() if b.taken}
    assert parts == {f"{ONE}a": 12, f"{TWO}a": 10}
    living = Season.open(season)
    assert living.undo() == "packing of 22 fruit for Quayside market"
    assert not any(check.picks_over for check in living.book.checks.values())
    living.close()


@pytest.mark.parametrize(("soft", "outcomes"), [
    ("thrown", [("discarded", "first")]),
    ("second", [("sold", "second")]),
    ("stays", []),
])  # fmt: skip
def test_what_becomes_of_soft_fruit(
    call: Call, season: Path, soft: str, outcomes: list[tuple[str, str]]
) -> None:
    before = set(book_in(season).removals)
    call("pack", season, QUAY, f"{ONE}=0,0,3", "--soft", soft, "--at", "2026-10-01T07:00")
    book = book_in(season)
    new = [r for key, r in book.removals.items() if key not in before]
    assert [(r.outcome, r.grade) for r in new] == outcomes
    [check] = [check for check in book.checks.values() if check.picks_over]
    assert check.at.isoformat() == "2026-10-01T06:00:00+00:00"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["Fair of the moon"], ["market:", "Fair of the moon", "Harvest fair"]),
        (["2026-10-02"], ["market:", "2026-10-02", "2026-10-03 Quayside market"]),
        ([], ["market:", "Say which", "2026-10-04 Orchard gate"]),
        ([f"{ONE}=1"], ["market:", f"{ONE}=1", "2026-10-04 Orchard gate"]),
        (["2026-09-26"], ["over"]),
        ([QUAY, "P-9999-9=3"], ["P-9999-9"]),
        ([QUAY, ONE], [ONE, "P-0914-2=31,14,2"]),
        ([QUAY, f"{ONE}=a,2"], [f"{ONE}=a,2", "whole numbers"]),
        ([QUAY, f"{ONE}=1,2,3,4"], ["three whole numbers"]),
        ([QUAY, f"{ONE}=-3"], ["whole numbers"]),
        ([QUAY, f"{ONE}=300"], [f"{ONE}=300:", "cannot have been squeezed"]),
        ([QUAY, f"{ONE}={'9' * 30}"], ["from 0 to"]),
        ([QUAY, f"{ONE}=1", f"{ONE.lower()}=2,3"], ["twice", f"type {ONE}=3,3,0 for them"]),
        ([QUAY, f"{ONE}=0"], ["No fruit counted yet"]),
        ([QUAY, f"{ONE}=1", "--at", "soon"], ["--at:", "soon"]),
        ([QUAY, f"{ONE}=1", "--at", "2026-10-02"], ["--at:", "still to come"]),
        ([QUAY, "--at", "2026-10-01"], ["--at:"]),
        ([QUAY, f"{ONE}=1", "--csv", "list.csv"], ["--csv:"]),
        ([QUAY, f"{ONE}=1", "--soft", "eaten"], ["--soft"]),
    ],
)
def test_bad_use_is_one_line_and_changes_nothing(
    call: Call, season: Path, arguments: list[str], words: list[str]
) -> None:
    before = book_in(season)
    answer = call("pack", season, *arguments)
    assert answer.code == 2
    assert answer.said_in_one_line(*words)
    assert book_in(season) == before


def test_a_season_that_is_open_elsewhere_is_waited_for_and_left(call: Call, season: Path) -> None:
    living = Season.open(season)
    try:
        answer = call("pack", season, QUAY, f"{ONE}=1", "--wait", "0")
    finally:
        living.close()
    assert answer.code == 2
    assert answer.said_in_one_line()
    assert not any(check.picks_over for check in book_in(season).checks.values())


def test_no_name_is_not_just_any_market_day(call: Call, season: Path) -> None:
    answer = call("pack", season, "  ", f"{ONE}=1")
    assert answer.code == 2
    assert "Say which market day" in answer.err
    assert not book_in(season).pins


def test_a_name_may_be_typed_in_the_letters_of_a_keyboard(call: Call, season: Path) -> None:
    for typed in ("Baker's shop", "baker’s  SHOP", "2026-10-06 Baker's Shop"):
        answer = call("pack", season, typed)
        assert (answer.code, answer.out.partition("\n")[0]) == (0, "Baker’s shop, Tue 6 Oct")


def test_what_stands_packed_is_not_counted_twice(call: Call, season: Path) -> None:
    call("pack", season, QUAY, f"{ONE}=12,7,1")
    before = book_in(season)
    answer = call("pack", season, QUAY, f"{ONE}a=12")
    assert answer.code == 2
    assert answer.said_in_one_line(f"{ONE}a=12: {ONE}a is packed for Quayside market already")
    assert book_in(season) == before


def test_options_may_stand_between_market_and_counts(call: Call, season: Path) -> None:
    answer = call("pack", season, QUAY, "--soft", "second", f"{ONE}=20,3,1")
    assert (answer.code, answer.err) == (0, "")
    [check] = [check for check in book_in(season).checks.values() if check.picks_over]
    assert check.feel_counts == (3, 0, 20, 0, 1)
