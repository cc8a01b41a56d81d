"""Rows of a table that become records."""

from datetime import timedelta

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.place import USUAL_PLACES, Place
from ripenroom.season.actions.table_import import (
    ImportDefaults,
    ImportResult,
    RowKind,
    TableRow,
    look_over,
)
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW
from tests.season.writing import write


def rows_in(living: Season, kind: RowKind, *rows: dict[str, object]) -> ImportResult:
    numbered = [TableRow(number, values) for number, values in enumerate(rows, start=1)]
    usual = ImportDefaults("pawpaw", COLD)
    return look_over(living.state, kind, numbered, usual, "the table")


def codes(found: ImportResult) -> list[str]:
    return [record.code for record in found.change.put if isinstance(record, Batch)]


PICK: dict[str, object] = {"picked_at": NOW - timedelta(hours=3), "count": 20}


def test_codes_are_kept_and_others_go_on_from_all_before(living: Season) -> None:
    before = dict(living.book.batches)
    day = f"P-{PICK['picked_at']:%m%d}-"
    found = rows_in(living, "picks", PICK | {"batch": f"{day}70"}, PICK, PICK | {"batch": "mine"})
    assert codes(found) == [f"{day}70", f"{day}71", "mine"]
    assert living.book.batches == before


def test_a_code_is_taken_once_in_large_letters_or_small(living: Season) -> None:
    found = rows_in(living, "picks", PICK | {"batch": "Bin 7"}, PICK | {"batch": "BIN 7"})
    assert found.taken == (1,)
    assert found.refused[2].field == "batch"


def test_a_code_that_fits_no_label_is_refused(living: Season) -> None:
    found = rows_in(living, "picks", PICK | {"batch": "x" * 41}, PICK | {"batch": "two\nlines"})
    assert [refusal.field for refusal in found.refused.values()] == ["batch", "batch"]


def test_the_same_check_is_taken_once(living: Season) -> None:
    season = rows_in(living, "picks", PICK | {"batch": "Bin 7"})
    write(living, season.change)
    check: dict[str, object] = {"batch": "bin 7", "at": NOW - timedelta(hours=1), "gives": 4}
    found = rows_in(living, "checks", check, check, check | {"gives": 5})
    assert found.taken == (1, 3)
    assert found.refused[2].field == "at"


@pytest.mark.parametrize("price", [1e308, -1e308, 1e9, -0.01])
def test_a_price_that_no_fruit_has_is_refused_in_its_column(living: Season, price: float) -> None:
    row = {"market_day": "Quay", "starts_at": NOW, "crop": "pawpaw", "wanted": 3, "price": price}
    [refusal] = rows_in(living, "market days", row).refused.values()
    assert refusal.field == "price"
    assert "price of one fruit" in refusal.message


def test_a_row_that_cannot_be_a_record_is_refused_alone(living: Season) -> None:
    found = rows_in(living, "picks", PICK | {"note": "x" * 10_001}, PICK, PICK | {"pulp_c": 300.0})
    assert found.taken == (2,)
    assert {number: refusal.field for number, refusal in found.refused.items()} == {
        1: "note",
        3: "pulp_c",
    }


def test_a_place_begins_with_what_is_usual_of_its_kind(living: Season) -> None:
    found = rows_in(living, "places", {"place": "Bench", "kind": "counter", "set_point_c": 20.0})
    assert found.refused == {}
    place = next(record for record in found.change.put if isinstance(record, Place))
    usual = USUAL_PLACES["counter"]
    assert (place.half_cooling_h, place.daily_swing_k) == (
        usual.half_cooling_h,
        usual.daily_swing_k,
    )
