"""The table of eat-by windows, and what spreadsheets and scripts make of it."""

import csv
import io
import math
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pandas as pd
import pytest

from ripenroom.exchange.farm_tables import EAT_BY_COLUMNS, END_CAUSES, eat_by_table
from ripenroom.exchange.table_writing import write_csv
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Record
from ripenroom.records.file import SeasonFile
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.practice import write_demo
from ripenroom.season.projection import EndCause
from ripenroom.season.season import Season

NOW = datetime(2026, 10, 24, 9, tzinfo=UTC)
DATES = [c for c in EAT_BY_COLUMNS if c.startswith(("first", "opens", "best", "closes"))]


def batch(number: int, **given: object) -> list[Record]:
    facts = {
        "id": f"batch {number}",
        "code": f"P-1020-{number}",
        "crop": "pawpaw",
        "picked_at": NOW - timedelta(days=4),
        "count": 20,
        "feel_counts": (0, 20, 0, 0, 0),
        **given,
    }
    made = Batch(**facts)  # type: ignore[arg-type]
    return [made, Move(id=f"move {number}", batch_id=made.id, at=made.picked_at, place_id="room")]


def open_with(path: Path, *records: Record, place_name: str = "Room") -> Season:
    season = SeasonDetails(
        id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
        name="Test farm",
        zone="Europe/Lisbon",
        first_day=date(2026, 8, 1),
        units="metric",
        currency="EUR",
    )
    room = Place(id="room", name=place_name, kind="counter", half_cooling_h=3.0)
    SeasonFile.create(path, season, [room, *records]).close()
    return Season.open(path, clock=lambda: NOW)


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Season]:
    path = tmp_path_factory.mktemp("practice") / "practice.ripenroom"
    write_demo(path)
    season = Season.open(path, read_only=True)
    yield season
    season.close()


def test_one_row_per_batch_and_exactly_these_columns(practice: Season) -> None:
    table = eat_by_table(practice)
    assert tuple(table.columns) == (
        *("crop", "feel", "count", "batch", "place", "first_ready", "opens", "best_day", "closes"),
        *("end_cause", "ready_at_best", "opens_low", "opens_high", "closes_low", "closes_high"),
        *("wont_ripen", "why_never_open"),
    )
    assert sorted(table["batch"]) == sorted(b.code for b in practice.book.batches.values())
    felt = {b.code: practice.ask.last_felt(b.id) or "" for b in practice.book.batches.values()}
    assert dict(zip(table["batch"], table["feel"], strict=True)) == felt


def test_dates_are_local_with_their_offset_and_in_order(practice: Season) -> None:
    offsets = set()
    for row in eat_by_table(practice).to_dict("records"):
        dates = {c: datetime.fromisoformat(row[c]) for c in DATES if row[c]}
        for moment in dates.values():
            assert moment.tzinfo is not None
            assert moment.utcoffset() == moment.astimezone(practice.zone).utcoffset()
            offsets.add(moment.utcoffset())
        for order in (["first_ready", "opens", "best_day", "closes"],):
            told = [dates[c] for c in order if c in dates]
            assert told == sorted(told)
        for name in ("opens", "closes"):
            ranged = [dates[c] for c in (f"{name}_low", name, f"{name}_high") if c in dates]
            assert ranged == sorted(ranged)
    assert offsets == {timedelta(0), timedelta(hours=1)}  # before and after the clocks go back


def test_rows_close_one_after_the_other_and_what_never_closes_is_last(tmp_path: Path) -> None:
    season = open_with(
        tmp_path / "s.ripenroom",
        *batch(1, feel_counts=None, readings=(69.0,) * 9, reading_unit="N"),
        *batch(2),
        *batch(3, feel_counts=(0, 0, 0, 20, 0)),
        *batch(4, crop="medlar", code="X-1020-4"),
    )
    table = eat_by_table(season)
    season.close()
    assert table["batch"].tolist() == ["P-1020-3", "P-1020-2", "P-1020-1", "X-1020-4"]
    assert table["end_cause"].tolist()[2:] == ["never ready", "no crop profile"]
    assert table["why_never_open"].tolist() == ["", "", "won't ripen", ""]
    last = table.to_dict("records")[-1]
    unknown = ("first_ready", "opens", "closes", "closes_high", "ready_at_best", "wont_ripen")
    assert {last[column] for column in unknown} == {""}


def test_what_ends_a_batch_is_written_in_the_words_of_tables_that_people_have(
    tmp_path: Path,
) -> None:
    began = NOW - timedelta(days=30)
    frozen = SetPointChange(id="set 1", place_id="room", at=began, set_point_c=-4.0)
    season = open_with(tmp_path / "s.ripenroom", frozen, *batch(1))
    table = eat_by_table(season)
    season.close()
    assert table["end_cause"].tolist() == ["frost"]
    assert {cause.value: END_CAUSES[cause] for cause in EndCause} == {
        0: "too soft",
        1: "ripe life",
        2: "chilling",
        3: "storage life",
        4: "frost",
        5: "never ready",
    }


def test_the_hour_that_comes_twice_is_in_its_order(tmp_path: Path) -> None:
    """Seven minutes apart across the change of the clock, 01:58+01:00 comes before 01:05+00:00."""
    batches = [
        record
        for number in range(120)
        for record in batch(
            number,
            code=f"P-1020-{number:03}",
            picked_at=NOW - timedelta(days=4, minutes=7 * number),
            feel_counts=(0, 0, 20, 0, 0),
        )
    ]
    season = open_with(tmp_path / "s.ripenroom", *batches)
    closes = [datetime.fromisoformat(text) for text in eat_by_table(season)["closes"]]
    season.close()
    assert closes == sorted(closes)


def test_a_crop_without_profile_is_in_the_table_by_what_is_written(tmp_path: Path) -> None:
    season = open_with(
        tmp_path / "s.ripenroom",
        *batch(1, crop="medlar", code="X-1020-1"),
        *batch(2, crop="medlar", code="X-1020-2", count=None, weight_kg=3.0),
    )
    season.do(actions.batches.take_out, "batch 1", 6, "sold", NOW)
    table = eat_by_table(season)
    season.close()
    assert table["count"].tolist() == [14, ""]
    assert table["place"].tolist() == ["Room", "Room"]
    assert table["closes"].tolist() == ["", ""]


def test_as_on_a_date_it_tells_what_there_was(practice: Season) -> None:
    now = practice.now()
    then = datetime(2026, 9, 10, 12, tzinfo=UTC)
    practice.read_as_on(then)
    left_then = eat_by_table(practice).set_index("batch")["count"]
    practice.read_as_on(now)
    left = eat_by_table(practice).set_index("batch")["count"]
    picked = {b.code for b in practice.book.batches.values() if b.picked_at <= then}
    assert set(left_then.index) == picked
    assert len(picked) < len(left)
    assert (left_then >= left[left_then.index]).all()
    assert left_then.sum() > left[left_then.index].sum()


def test_a_season_without_batches_has_the_columns_alone(tmp_path: Path) -> None:
    season = open_with(tmp_path / "s.ripenroom")
    table = eat_by_table(season)
    season.close()
    assert (len(table), tuple(table.columns)) == (0, EAT_BY_COLUMNS)
    write_csv(table, tmp_path / "w.csv")
    assert (tmp_path / "w.csv").read_text() == ",".join(EAT_BY_COLUMNS) + "\n"


def test_pandas_and_csv_read_the_same(practice: Season, tmp_path: Path) -> None:
    path = tmp_path / "windows.csv"
    table = eat_by_table(practice)
    write_csv(table, path)
    read = pd.read_csv(path)
    assert tuple(read.columns) == EAT_BY_COLUMNS
    assert read["batch"].tolist() == table["batch"].tolist()
    assert read["wont_ripen"].between(0.0, 1.0).all()
    assert read["ready_at_best"].dropna().between(0.0, 1.0).all()
    closes = pd.to_datetime(read["closes"], utc=True)
    assert closes.dropna().is_monotonic_increasing
    assert closes.isna().is_monotonic_increasing  # what never closes is last
    with path.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    assert [row["count"] for row in rows] == [str(n) for n in table["count"]]
    assert b"\r" not in path.read_bytes()


@pytest.mark.parametrize(
    "name",
    [
        '=HYPERLINK("http://example.org";"click")',
        "+1+1",
        "-2+3",
        "@SUM(A1:A9)",
        'Room, "the" cold; one',
        "Kühlraum № 1",
    ],
)
def test_no_cell_is_a_formula_and_every_name_comes_back(name: str, tmp_path: Path) -> None:
    season = open_with(tmp_path / "s.ripenroom", *batch(1), place_name=name)
    path = tmp_path / "w.csv"
    write_csv(eat_by_table(season), path)
    season.close()
    (row,) = csv.DictReader(io.StringIO(path.read_text(encoding="utf-8")))
    assert row["place"].removeprefix("'") == name
    for cell in row.values():
        assert not cell.startswith(("=", "+", "-", "@"))


def test_counts_of_weighed_fruit_are_whole(tmp_path: Path) -> None:
    season = open_with(tmp_path / "s.ripenroom", *batch(1, count=None, weight_kg=2.9))
    (count,) = eat_by_table(season)["count"]
    season.close()
    assert count == math.floor(2.9 / 0.15 + 0.5)
