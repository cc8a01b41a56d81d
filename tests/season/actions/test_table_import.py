"""Rows of a table that become records."""

from datetime import timedelta

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.market import Want
from ripenroom.records.place import USUAL_PLACES, Place
from ripenroom.season.actions.table_import import ImportResult, look_over
from ripenroom.season.actions.table_rows import ImportDefaults, RowKind, TableRow
from ripenroom.season.amounts import mass_of
from ripenroom.season.season import Season
from ripenroom.units import KILOGRAMS_PER
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


DAY: dict[str, object] = {"market_day": "Quay", "starts_at": NOW + timedelta(days=3)}


def wants_in(living: Season, **row: object) -> list[Want]:
    found = rows_in(living, "market days", DAY | {"crop": "pawpaw"} | row)
    assert not found.refused, found.refused[1].message
    write(living, found.change)
    return [want for want in living.book.wants.values() if want.market_day_id in found_days(living)]


def found_days(living: Season) -> set[str]:
    return {day.id for day in living.book.market_days.values() if day.name == "Quay"}


def test_a_want_by_weight_is_kept_as_typed_and_counted_by_what_fruit_weigh(living: Season) -> None:
    (want,) = wants_in(living, sold_by="lb", wanted=30.5, price=4.5)
    assert (want.sold_by, want.amount, want.unit_price_minor) == ("lb", 30.5, 450)
    usual_kg = mass_of(living.book, living.crops["pawpaw"]).usual_kg
    assert want.count == round(30.5 * KILOGRAMS_PER["lb"] / usual_kg)
    assert want.price_minor == round(450 * usual_kg / KILOGRAMS_PER["lb"])


def test_what_was_written_out_comes_in_the_same(living: Season) -> None:
    """The columns that count fruit stand beside what was typed, which holds."""
    (want,) = wants_in(
        living, sold_by="box", wanted=96, price=0.5, amount=8, unit_price=6, fruit_per_box=12
    )
    assert (want.amount, want.unit_price_minor, want.fruit_per_box) == (8.0, 600, 12)
    assert (want.count, want.price_minor) == (96, 50)


@pytest.mark.usefixtures("in_spanish")
@pytest.mark.parametrize("crop", ["higo", "Higos", "fig", "figs"])
def test_a_crop_is_named_in_either_language(living: Season, crop: str) -> None:
    found = rows_in(living, "picks", PICK | {"crop": crop})
    (batch,) = (record for record in found.change.put if isinstance(record, Batch))
    assert batch.crop == "fig"


def test_boxes_need_to_say_how_many_fruit_they_hold(living: Season) -> None:
    found = rows_in(living, "market days", DAY | {"crop": "pawpaw", "sold_by": "box", "wanted": 8})
    assert found.refused[1].field == "fruit_per_box"


def test_half_a_fruit_is_not_wanted(living: Season) -> None:
    found = rows_in(living, "market days", DAY | {"crop": "pawpaw", "wanted": 8.5})
    assert found.refused[1].field == "wanted"


def all_of(found: ImportResult) -> list[list[str]]:
    """The columns in which each refused row is wrong."""
    return [
        [one.field for one in (first, *found.also[number])]
        for number, first in found.refused.items()
    ]


def test_all_that_is_wrong_with_every_row_is_said_at_once(living: Season) -> None:
    market = {"market_day": "Quay", "starts_at": NOW, "crop": "pawpaw", "wanted": 3}
    found = rows_in(
        living,
        "market days",
        market | {"crop": "pawpow", "wanted": 2.5, "price": -1.0, "eat_within_days": 900},
        market | {"starts_at": NOW + timedelta(days=2_000), "sold_by": "box", "note": "x" * 10_001},
        market,
    )
    assert found.taken == (3,)
    assert [sorted(columns) for columns in all_of(found)] == [
        ["crop", "eat_within_days", "price", "wanted"],
        ["fruit_per_box", "note", "starts_at"],
    ]
    tree_row = {"row": "Top row", "trees": 9, "crop": "pawpaw", "cultivar": "Early"}
    wrong = {"trees": -1, "crop": "pawpow", "planted_year": 3, "branch_counts": (2.5,)}
    found = rows_in(
        living, "rows", tree_row | wrong, {"row": "Low row", "trees": 4, "cultivar": "none such"}
    )
    assert [sorted(columns) for columns in all_of(found)] == [
        ["branch_counts", "crop", "planted_year", "trees"],
        ["cultivar"],
    ]
    found = rows_in(living, "places", {"place": "x" * 900, "half_cooling_h": -1.0})
    assert [sorted(columns) for columns in all_of(found)] == [["half_cooling_h", "kind", "place"]]


def test_what_cannot_be_read_hides_nothing_else(living: Season) -> None:
    values = {"market_day": "Quay", "crop": "pawpow", "wanted": 2.5}
    row = TableRow(1, values, unread=frozenset({"starts_at"}))
    found = look_over(living.state, "market days", [row], ImportDefaults(), "the table")
    assert [sorted(columns) for columns in all_of(found)] == [["crop", "wanted"]]
    assert not found.taken


def test_what_follows_from_a_cell_that_is_refused_is_not_said(living: Season) -> None:
    """Without its number of fruit a pick that is wrong in it says nothing of how many there are."""
    found = rows_in(living, "picks", PICK | {"count": -4, "pulp_c": 300.0})
    assert all_of(found) == [["count", "pulp_c"]]
    cut = {"market_day": "Quay", "starts_at": NOW, "wanted": 2.5}
    row = TableRow(1, cut, unread=frozenset({"sold_by"}))
    found = look_over(living.state, "market days", [row], ImportDefaults("pawpaw"), "the table")
    assert not found.refused
    assert not found.taken
