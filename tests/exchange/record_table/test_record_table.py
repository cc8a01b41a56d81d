"""Tables from elsewhere, as people keep them."""

import random
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.exchange.record_table.columns import MEANINGS, Kind, guess, guess_kind
from ripenroom.exchange.record_table.grid import Grid, grid_of
from ripenroom.exchange.record_table.reading import read
from ripenroom.exchange.record_table.values import (
    DateOrder,
    Unreadable,
    count_in,
    date_order_of,
    decimal_mark_of,
    moment_in,
    number_in,
    numbers_in,
    time_in,
)
from ripenroom.exchange.season_tables import season_tables
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.table_rows import ImportDefaults
from ripenroom.season.practice import write_demo
from ripenroom.season.season import Season
from tests.season.actions.test_season import _put
from tests.season.farm import COLD, NOW, farm_records, season_record
from tests.season.writing import write

HOME = ZoneInfo("Europe/Lisbon")


@pytest.fixture
def season(tmp_path: Path) -> Season:
    season = Season.create(tmp_path / "farm.ripenroom", season_record(), lambda: NOW)
    for record in farm_records():
        write(season, _put(record))
    return season


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separator_the_heads_and_what_stands_above_them_are_found(separator: str) -> None:
    lines = [
        "My farm, autumn",
        "",
        separator.join(("Date", "Fruit", "Count", "Where", "Notes")),
        separator.join(("2026-09-14", "pawpaw", "12", "Cold", '"wet; windy, cold"')),
        "",
        separator.join(("2026-09-15", "pawpaw", "9", "Shelf", "")),
    ]
    grid = grid_of(lines)
    assert grid.heads == ("Date", "Fruit", "Count", "Where", "Notes")
    assert grid.rows[0][4] == "wet; windy, cold"
    assert grid.numbers == (4, 6)
    assert guess_kind(grid) == "picks"


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        ([], "nothing"),
        (["", " ; "], "nothing"),
        (["Date,Count"], "only one row"),
        (["a,b"] + ["1,2"] * 20_001, "20,?000|20000"),
        ([",".join("abcdefghij" * 11), ",".join("1234567890" * 11)], "columns"),
    ],
)
def test_what_is_no_table_is_refused(lines: list[str], what: str) -> None:
    with pytest.raises(Refusal, match=what):
        grid_of(lines)


@pytest.mark.parametrize(
    ("cell", "mark", "value"),
    [
        ("12", ".", 12.0),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", ",", 1234.5),
        ("1 234,5", ",", 1234.5),
        ("-1,234,567", ".", -1_234_567.0),
        ("0.125", ",", 0.125),
        ("0,75", ",", 0.75),
        ("-3.5", ".", -3.5),
        ("1'200", ".", 1200.0),
    ],
)
def test_numbers_as_people_write_them(cell: str, mark: str, value: float) -> None:
    assert number_in(cell, mark) == value  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "cell",
    ["", "x", "1.2.3", "--1", "0,125", "12,34", "1.5,000", "12 kg", "nan", "inf", ",", "1e9999x"],
)
def test_what_is_no_number_says_so(cell: str) -> None:
    with pytest.raises(Unreadable):
        number_in(cell, ".")


def test_decimal_marks_and_orders_of_dates_are_told_by_the_data() -> None:
    assert decimal_mark_of(["1,5", "2,25", "3"]) == ","
    assert decimal_mark_of(["1.5", "1,200"]) == "."
    assert decimal_mark_of(["0,125", "0,250"]) == ","
    assert decimal_mark_of(["3,4,5", "4,4,6"]) == "."
    assert decimal_mark_of([]) == "."
    assert date_order_of(["14.9.2026", "3.9.2026"], "mdy") == ("dmy", False)
    assert date_order_of(["9/14/2026"], "dmy") == ("mdy", False)
    assert date_order_of(["2026-09-14"], "mdy") == ("ymd", False)
    assert date_order_of(["9/8/26"], "mdy") == ("mdy", True)
    assert date_order_of(["9/8/2026", "9/14/2026", "31/31/2026"], "mdy") == ("mdy", False)
    assert date_order_of(["9/14/2026", "9/15/2026", "31/8/2026"], "dmy") == ("mdy", False)
    assert date_order_of(["9/14/2026", "31/8/2026"], "mdy") == ("mdy", True)
    assert date_order_of(["31/31/2026"], "mdy") == ("mdy", False)
    assert numbers_in("3,5 4,1;5", ",") == (3.5, 4.1, 5.0)
    assert numbers_in("3.5, 4.1", ".") == (3.5, 4.1)
    with pytest.raises(Unreadable, match="whole number"):
        count_in("2.5", ".")


@pytest.mark.parametrize(
    ("cell", "order", "expected"),
    [
        ("14.9.2026 8:05", "dmy", "2026-09-14 08:05:00 "),
        ("9/14/26 2:30 pm", "mdy", "2026-09-14 14:30:00 "),
        ("2026-09-14T08:05:30+02:00", "ymd", "2026-09-14 08:05:30 +02:00"),
        ("2026-09-14 12:10 AM", "ymd", "2026-09-14 00:10:00 "),
        ("2026-09-14T08:05Z", "ymd", "2026-09-14 08:05:00 Z"),
        ("26-09-14 8:05", "ymd", "2026-09-14 08:05:00 "),
        ("14/09/2026", "ymd", "2026-09-14 None "),
        ("14 Sept 2026 8:05", "mdy", "2026-09-14 08:05:00 "),
        ("Sep 14, 2026, 2 pm", "dmy", "2026-09-14 14:00:00 "),
        ("Mon 14-sep-26", "mdy", "2026-09-14 None "),
    ],
)
def test_dates_with_times(cell: str, order: DateOrder, expected: str) -> None:
    assert "{} {} {}".format(*moment_in(cell, order)) == expected


@pytest.mark.parametrize("cell", ["30.2.2026", "yesterday", "2026-13-01", "1.2", "", "9999999-1-1"])
def test_what_is_no_date_says_so(cell: str) -> None:
    with pytest.raises(Unreadable):
        moment_in(cell, "dmy")
    with pytest.raises(Unreadable):
        time_in("25:00")
    assert time_in("7.30") == time(7, 30)


def import_text(
    season: Season, text: str, kind: Kind, usual: ImportDefaults | None = None
) -> tuple[Grid, dict[int, str]]:
    grid = grid_of(text.splitlines())
    rows = read(grid, guess(grid, kind), season.now())
    assert not [r.problems for r in rows if r.problems]
    found = season.do(
        actions.table_import.take_in,
        kind,
        [r.row for r in rows],
        usual or ImportDefaults(None, COLD),
        "notes.csv",
    )
    return grid, {number: refusal.message for number, refusal in found.refused.items()}


PICKS = """Pick date;Fruit;Variety;Hard;Slight give;Gives;Soft;Weight (lb);Where;Notes
14.09.2026 08:30;Pawpaw;Early;;12;5;;;Cold;wet
15.09.2026;pawpaws;early;1;9;;;11,0;shelf;
16.09.2026;Dragon fruit;;;9;;;;;
31.12.2026;Pawpaw;;;9;;;;Cold;
17.09.2026;Pawpaw;;;;;;;Attic;
17.09.2026;Pawpaw;;;;;;;;
"""


def test_right_rows_are_taken_and_wrong_ones_listed(season: Season) -> None:
    _, refused = import_text(season, PICKS, "picks")
    assert sorted(refused) == [4, 5, 6, 7]
    assert "Dragon fruit" in refused[4]
    assert "still to come" in refused[5]
    assert "Attic" in refused[6]
    first, second = sorted(season.book.batches.values(), key=lambda b: b.picked_at)
    assert first.feel_counts == (0, 12, 5, 0, 0)
    assert first.picked_at == datetime(2026, 9, 14, 7, 30, tzinfo=UTC)
    assert first.cultivar_id == "early"
    assert second.weight_kg == pytest.approx(11 * 0.45359237)
    assert season.undo_label == "2 picks from notes.csv"
    season.undo()
    assert not season.book.batches


def test_the_same_table_twice_adds_nothing(season: Season) -> None:
    text = "Code,Date,Fruit,Count\nP-0914-7,2026-09-14,pawpaw,12\n"
    import_text(season, text, "picks")
    _, refused = import_text(season, text, "picks")
    assert "in the season already" in refused[2]
    [batch] = season.book.batches.values()
    assert batch.code == "P-0914-7"
    checks = "Batch,Date,Gives,Soft\nP-0914-7,2026-09-16 09:00,6,2\nP-0914-8,2026-09-16,1,1\n"
    _, refused = import_text(season, checks, "checks")
    assert list(refused) == [3]
    _, refused = import_text(season, checks, "checks")
    assert sorted(refused) == [2, 3]
    [check] = season.book.checks.values()
    assert check.feel_counts == (0, 0, 6, 2, 0)


def test_market_days_gather_their_wants_and_places_their_set_points(season: Season) -> None:
    text = (
        "Market\tType\tDate\tTime\tFruit\tWanted\tPrice\n"
        "Harbour\tMarket\t10/3/2026\t8:00 am\tPawpaw\t40\t2.50\n"
        "Harbour\tmarket\t10/3/2026\t8:00 AM\tPear\t60\t0.8\n"
        "Harbour\tmarket\t10/3/2026\t8:00 AM\tPear\t10\t\n"
    )
    grid = grid_of(text.splitlines())
    mapping = replace(guess(grid, "market days", "mdy"))
    assert (mapping.date_order, mapping.dates_doubtful) == ("mdy", True)
    rows = [r.row for r in read(grid, mapping, season.now())]
    found = season.do(
        actions.table_import.take_in, "market days", rows, ImportDefaults(), "markets"
    )
    assert list(found.refused) == [4]
    [day] = season.book.market_days.values()
    assert day.starts_at == datetime(2026, 10, 3, 7, tzinfo=UTC)
    assert {w.crop: (w.count, w.price_minor) for w in season.book.wants.values()} == {
        "pawpaw": (40, 250),
        "pear": (60, 80),
    }
    _, refused = import_text(
        season,
        "Room,Type,Set point (F),Crates\nBarn,cold room,38,40\nCold,cold room,38,40\n",
        "places",
    )
    assert list(refused) == [3]
    barn = next(p for p in season.book.places.values() if p.name == "Barn")
    assert season.set_point_c(barn.id) == pytest.approx((38 - 32) / 1.8)


@pytest.mark.parametrize(
    ("cell", "today", "moment"),
    [
        ("Nov 28", "2026-11-30", "2026-11-28"),
        ("28 Nov", "2026-11-30", "2026-11-28"),
        ("Sat, Nov 28th", "2026-11-30", "2026-11-28"),
        ("Dec 30", "2027-01-02", "2026-12-30"),
        ("28 Nov 10:30", "2026-11-30", "2026-11-28 10:30"),
        ("Nov 28, 2 pm", "2026-11-30", "2026-11-28 14:00"),
        ("Nov 28 2025", "2026-11-30", "2025-11-28"),
        ("28 Nov 25", "2026-11-30", "2025-11-28"),
    ],
)
def test_a_day_without_a_year_is_the_nearest_one(cell: str, today: str, moment: str) -> None:
    day, clock, _ = moment_in(cell, "mdy", date.fromisoformat(today))
    assert datetime.combine(day, clock or time()) == datetime.fromisoformat(moment)


def test_a_day_that_was_never_is_no_day() -> None:
    with pytest.raises(Unreadable, match="calendar"):
        moment_in("Feb 30", "mdy", date(2026, 3, 1))


def test_of_today_without_a_time_now_counts_until_noon(season: Season) -> None:
    early = season.now().replace(hour=9, minute=20, second=0, microsecond=0)
    lines = ["Date,Fruit,Count", *(f"{early:%Y-%m-%d}{at},pawpaw,12" for at in ("", " 10:00"))]
    lines.append(f"{early - timedelta(days=1):%Y-%m-%d},pawpaw,12")
    grid = grid_of(lines)
    mapping = guess(grid, "picks")
    rows = [r.row.values["picked_at"] for r in read(grid, mapping, early)]
    assert rows == [
        early,
        early.replace(hour=10, minute=0),
        early.replace(hour=12, minute=0) - timedelta(days=1),
    ]
    late = early.replace(hour=15)
    assert read(grid, mapping, late)[0].row.values["picked_at"] == early.replace(hour=12, minute=0)


@pytest.mark.parametrize(
    ("head", "us", "kg"),
    [
        ("Weight", False, 10.0),
        ("Weight", True, 4.5359237),
        ("Weight lb", False, 4.5359237),
        ("Weight (kg)", True, 10.0),
    ],
)
def test_weights_are_in_the_unit_of_their_head_else_of_the_season(
    season: Season, head: str, us: bool, kg: float
) -> None:
    cells = ("10", "10 kg", "10 lb", "10lbs")
    grid = grid_of([f"Date,Fruit,{head}", *(f"2026-09-15,pawpaw,{cell}" for cell in cells)])
    rows = read(grid, guess(grid, "picks", us=us), season.now())
    assert [row.row.values["weight_kg"] for row in rows] == pytest.approx(
        [kg, 10.0, 4.5359237, 4.5359237]
    )


@pytest.mark.parametrize(
    ("head", "us", "celsius"),
    [("Temp", True, 20.0), ("Temp", False, 68.0), ("Pulp (°C)", True, 68.0)],
)
def test_temperatures_are_in_the_unit_of_their_head_else_of_the_season(
    season: Season, head: str, us: bool, celsius: float
) -> None:
    grid = grid_of([f"Date,Fruit,Count,{head}", "2026-09-15,pawpaw,12,68"])
    (row,) = read(grid, guess(grid, "picks", us=us), season.now())
    assert row.row.values["pulp_c"] == pytest.approx(celsius)


def test_cells_are_mended_in_place(season: Season) -> None:
    grid = grid_of(["Date,Fruit,Count", "soon,pawpaw,12", "2026-09-15,pawpaw,twelve"])
    mapping = guess(grid, "picks")
    problems = [r.problems for r in read(grid, mapping, season.now())]
    assert [list(p) for p in problems] == [["picked_at"], ["count"]]
    grid = grid.with_cell(0, 0, "2026-09-14").with_cell(1, 2, "12")
    assert not any(r.problems for r in read(grid, mapping, season.now()))


@pytest.mark.parametrize("us", [False, True])
def test_what_the_program_writes_out_it_reads_back(
    season: Season, tmp_path: Path, us: bool
) -> None:
    write_demo(tmp_path / "demo.ripenroom")
    demo = Season.open(tmp_path / "demo.ripenroom")
    fresh = Season.create(
        tmp_path / "fresh.ripenroom",
        replace(demo.book.season, id="00000000-0000-4000-8000-000000000002", practice_now=None),
        demo.now,
    )
    tables = season_tables(demo)
    for record in (*demo.book.cultivars.values(), *demo.book.rows.values()):
        write(fresh, _put(record))
    kinds: tuple[Kind, ...] = ("places", "picks", "checks", "market days")
    for kind in kinds:
        if tables[kind].empty:
            continue
        tables[kind].to_csv(tmp_path / f"{kind}.csv", index=False)
        grid = grid_of((tmp_path / f"{kind}.csv").read_text("utf-8").splitlines())
        assert guess_kind(grid) == kind
        rows = read(grid, guess(grid, kind, us=us), fresh.now())
        assert not [r.problems for r in rows if r.problems]
        given = [replace(r.row, answered=frozenset({"readings", "probe_mm"})) for r in rows]
        assert not fresh.do(
            actions.table_import.take_in, kind, given, ImportDefaults(), f"{kind}.csv"
        ).refused
    assert [b.code for b in fresh.book.batches.values()] == [
        b.code for b in sorted(demo.book.batches.values(), key=lambda b: (b.picked_at, b.code))
    ]
    ours = {b.code: b for b in fresh.book.batches.values()}
    for batch in demo.book.batches.values():
        mine = ours[batch.code]
        assert (mine.count, mine.feel_counts, mine.pulp_c) == (
            batch.count,
            batch.feel_counts,
            batch.pulp_c,
        )
        assert abs(mine.picked_at - batch.picked_at) < timedelta(minutes=1)
    days = [
        sorted((d.name, d.starts_at, d.kind, d.eat_within_days or -1) for d in book.values())
        for book in (fresh.book.market_days, demo.book.market_days)
    ]
    assert days[0] == days[1]
    assert {d.eat_within_days for d in fresh.book.market_days.values()} == {None, 2}
    assert len(fresh.book.wants) == len(demo.book.wants)
    assert len(fresh.book.checks) == len(demo.book.checks)


@given(st.lists(st.text(max_size=60), max_size=12))
def test_whatever_is_pasted_it_is_refused_or_read(lines: list[str]) -> None:
    try:
        grid = grid_of(lines)
    except Refusal:
        return
    for kind in MEANINGS:
        rows = read(grid, guess(grid, kind), NOW.astimezone(HOME))
        assert len(rows) == len(grid.rows)


def test_damaged_tables_never_end_in_anything_but_words(season: Season) -> None:
    chance = random.Random(11)
    taken = refused = 0
    for _ in range(300):
        text = list(PICKS)
        for _ in range(chance.randint(1, 12)):
            text[chance.randrange(len(text))] = chance.choice(
                [";", "\n", "", '"', "9", "-", "é", "\0", ",", "x", "1e308", "\u202e"]
            )
        try:
            grid = grid_of("".join(text).splitlines())
        except Refusal:
            refused += 1
            continue
        rows = [r.row for r in read(grid, guess(grid, "picks"), season.now()) if not r.problems]
        found = actions.table_import.look_over(
            season.state, "picks", rows, ImportDefaults("pawpaw", COLD), "x"
        )
        taken += len(found.taken)
        assert set(found.taken) | set(found.refused) == {row.number for row in rows}
    assert taken > 100


@pytest.mark.parametrize(
    ("heads", "cells", "means"),
    [
        ("Date,Crop,Firm,Gives,Soft,Where", "2026-09-14,Pawpaw,3,9,6,Cold room", {"Firm": "hard"}),
        ("Date,Crop,Firm,Count", "2026-09-14,Pawpaw,12.5 11 13,40", {"Firm": "readings"}),
        ("Date,Crop,Firm,Count", "2026-09-14,Pawpaw,48,40", {"Firm": "readings"}),
        ("Date,Crop,Count,Bin", "2026-09-14,Pawpaw,40,Field bins", {"Bin": "place"}),
        ("Date,Crop,Count,Bin", "2026-09-14,Pawpaw,40,7", {"Bin": None}),
        ("Date,Crop,Count,To", "2026-09-14,Pawpaw,40,Cold room", {"To": "place"}),
        ("Date,Crop,Count,To", "2026-09-14,Pawpaw,40,11:30", {"To": None}),
        ("Market,Date,Crop,Wanted,Sold", "Gate,2026-09-14,Pawpaw,8,box", {"Sold": "sold_by"}),
        ("Market,Date,Crop,Wanted,Sold", "Gate,2026-09-14,Pawpaw,8,6", {"Sold": None}),
    ],
)
def test_heads_of_two_meanings_go_by_their_cells(
    heads: str, cells: str, means: dict[str, str | None]
) -> None:
    grid = grid_of([heads, cells, cells])
    mapping = guess(grid, guess_kind(grid))
    found = dict(zip(grid.heads, mapping.meaning_of, strict=True))
    assert {head: found[head] for head in means} == means
