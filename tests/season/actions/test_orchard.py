"""Cultivars, rows and the season itself; walks are saved for one row or many, changed, deleted."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.book import new_id
from ripenroom.records.market import ExpectedPick
from ripenroom.records.orchard import Cultivar, Row, Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, entry, refused, season_record

LATE = Cultivar(id="late", crop="pawpaw", name="Late", group="late")


def test_cultivars_and_rows_come_and_go_by_single_steps(living: Season) -> None:
    books = [living.book]
    steps: list[Callable[[], None]] = [
        lambda: living.do(actions.orchard.save_cultivar, replace(LATE, name=" Late ")),
        lambda: living.do(
            actions.orchard.save_row, Row(id="hill", name=" Hill ", cultivar_id="late", trees=0)
        ),
        lambda: living.do(
            actions.orchard.save_row, Row(id="hill", name="Hill top", cultivar_id="late")
        ),
        lambda: living.do(actions.orchard.save_cultivar, replace(LATE, name="Latest")),
        lambda: living.do(actions.orchard.delete_row, "hill"),
        lambda: living.do(actions.orchard.delete_cultivar, "late"),
    ]
    for act in steps:
        act()
        books.append(living.book)
    assert books[1].cultivars["late"].name == "Late"
    assert books[2].rows["hill"].name == "Hill"
    labels = []
    for book in reversed(books[:-1]):
        labels.append(living.undo())
        assert living.book == book
    assert labels == [
        "deletion of Latest",
        "deletion of Hill top",
        "change of Latest",
        "change of Hill top",
        "new row Hill",
        "new cultivar Late",
    ]


@pytest.mark.parametrize(
    ("given", "field"),
    [({"name": ""}, "name"), ({"name": "EARLY"}, "name"), ({"crop": "medlar"}, "crop")],
)
def test_a_cultivar_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    cultivar = replace(LATE, **given)
    assert (
        refused(living, lambda: living.do(actions.orchard.save_cultivar, cultivar)).field == field
    )


def test_a_cultivar_of_another_crop_may_share_a_name(living: Season) -> None:
    living.do(actions.orchard.save_cultivar, replace(LATE, crop="pear", name="Early"))
    assert living.book.cultivars["late"].name == "Early"


def test_what_batches_name_stays(living: Season) -> None:
    living.do(actions.picks.add, entry(cultivar_id="early", row_id="row"))
    other = replace(living.book.cultivars["early"], crop="pear")
    assert refused(living, lambda: living.do(actions.orchard.save_cultivar, other)).field == "crop"
    refused(living, lambda: living.do(actions.orchard.delete_cultivar, "early"))
    refused(living, lambda: living.do(actions.orchard.delete_row, "row"))
    refused(living, lambda: living.do(actions.orchard.delete_cultivar, "gone"))
    refused(living, lambda: living.do(actions.orchard.delete_row, "gone"))


def test_a_cultivar_that_a_row_names_stays(living: Season) -> None:
    refused(living, lambda: living.do(actions.orchard.delete_cultivar, "early"))


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": "creek ROW"}, "name"),
        ({"cultivar_id": "gone"}, "cultivar_id"),
        ({"trees": -1}, "trees"),
        ({"trees": 10**7}, "trees"),
        ({"trees": 0, "fruit_on_trees": 40}, "trees"),
        ({"trees": 0, "branch_counts": (0, 3), "branches_per_tree": 9}, "trees"),
        ({"bloomed_on": NOW.date() + timedelta(days=1)}, "bloomed_on"),
    ],
)
def test_a_row_that_cannot_be_is_refused(living: Season, given: dict[str, Any], field: str) -> None:
    row = replace(Row(id="hill", name="Hill"), **given)
    assert refused(living, lambda: living.do(actions.orchard.save_row, row)).field == field


BAD_SEASONS: list[tuple[dict[str, Any], str]] = [
    ({"name": "\t"}, "name"),
    ({"zone": "Mars/Olympus"}, "zone"),
    ({"zone": "../../etc/passwd"}, "zone"),
    ({"zone": ""}, "zone"),
    ({"currency": "euro"}, "currency"),
    ({"currency": "ÄÖÜ"}, "currency"),
    ({"currency": "EUR\n"}, "currency"),
    ({"first_day": date(1, 1, 1)}, "first_day"),
    ({"first_day": date(9999, 12, 31)}, "first_day"),
]


@pytest.mark.parametrize(("given", "field"), BAD_SEASONS)
def test_a_season_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    season = replace(living.book.season, **given)
    assert refused(living, lambda: living.do(actions.season.save, season)).field == field


@pytest.mark.parametrize(("given", "field"), BAD_SEASONS)
def test_no_file_is_made_for_a_season_that_cannot_be(
    tmp_path: Path, given: dict[str, Any], field: str
) -> None:
    path = tmp_path / "new.ripenroom"
    with pytest.raises(Refusal) as caught:
        Season.create(path, season_record(**given))
    assert caught.value.field == field
    assert not path.exists()


def test_a_season_does_not_begin_after_its_first_pick(living: Season) -> None:
    living.do(actions.picks.add, entry())
    later = replace(living.book.season, first_day=date(2026, 10, 1))
    assert refused(living, lambda: living.do(actions.season.save, later)).field == "first_day"
    living.do(
        actions.season.save,
        replace(later, first_day=date(2026, 9, 30), zone="Pacific/Auckland"),
    )
    assert living.zone.key == "Pacific/Auckland"


def test_a_cultivar_of_which_a_pick_is_expected_stays_and_keeps_its_crop(
    living: Season,
) -> None:
    living.do(actions.orchard.save_cultivar, LATE)
    living.do(
        actions.ahead.save_expected_pick,
        ExpectedPick(
            id="pick", crop="pawpaw", on=NOW.date(), count=5, place_id=COLD, cultivar_id="late"
        ),
    )
    assert (
        "expected"
        in refused(living, lambda: living.do(actions.orchard.delete_cultivar, "late")).message
    )
    pear = replace(LATE, crop="pear")
    assert refused(living, lambda: living.do(actions.orchard.save_cultivar, pear)).field == "crop"
    living.do(actions.ahead.delete_expected_pick, "pick")
    living.do(actions.orchard.save_cultivar, pear)
    living.do(actions.orchard.delete_cultivar, "late")


@pytest.mark.parametrize("crates", [None, 1, 12, 10_000])
def test_hands_may_be_a_limit(living: Season, crates: int | None) -> None:
    living.do(
        actions.season.save,
        replace(living.book.season, crates_moved_per_evening=crates),
    )
    assert living.book.season.crates_moved_per_evening == crates


@pytest.mark.parametrize("crates", [0, -1, 10_001])
def test_hands_that_move_nothing_or_too_much_are_refused(living: Season, crates: int) -> None:
    season = replace(living.book.season, crates_moved_per_evening=crates)
    refusal = refused(living, lambda: living.do(actions.season.save, season))
    assert refusal.field == "crates_moved_per_evening"


def walk(at: datetime = NOW, **given: object) -> Walk:
    facts: dict[str, object] = {
        "id": new_id(),
        "row_id": "row",
        "at": at,
        "feel_counts": (21, 6, 3, 0, 0),
    }
    return Walk(**{**facts, **given})  # type: ignore[arg-type]


def test_a_walk_is_saved_and_undone_and_nothing_is_picked(living: Season) -> None:
    batches = living.book.batches
    one = walk(on_ground=4, note="after the wind")
    living.do(actions.orchard.add_walk, one)
    assert living.book.walks == {one.id: one}
    assert living.book.batches is batches
    assert living.undo_label == "walk of Creek row"
    living.undo()
    assert living.book.walks == {}


def test_a_sheet_of_rows_is_one_step(living: Season) -> None:
    living.do(actions.orchard.save_row, Row(id="lane", name="By the lane"))
    living.do(
        actions.orchard.add_walks, [walk(), walk(row_id="lane", feel_counts=None, on_ground=0)]
    )
    assert len(living.book.walks) == 2
    assert living.undo_label == "walk of 2 rows"
    living.undo()
    assert living.book.walks == {}


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"feel_counts": None}, "feel_counts", "No fruit counted yet"),
        ({"feel_counts": (0, 0, 0, 0, 0)}, "feel_counts", "All feels are 0"),
        ({"row_id": "gone"}, "row_id", "not in the season any more"),
        ({"at": NOW + timedelta(days=1)}, "at", "still to come"),
        ({"at": NOW - timedelta(days=300)}, "at", "120 days before"),
        ({"on_ground": -1}, "on_ground", "-1 fruit on the ground"),
    ],
)
def test_what_no_walk_can_be(
    living: Season, given: dict[str, object], field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.orchard.add_walk, walk(**given)))  # type: ignore[arg-type,call-overload]
    assert refusal.field == field
    assert words in refusal.message


def test_an_empty_sheet_and_the_same_walk_twice_are_refused(living: Season) -> None:
    assert (
        "No fruit counted yet"
        in refused(living, lambda: living.do(actions.orchard.add_walks, [])).message
    )
    living.do(actions.orchard.add_walk, walk())
    again = refused(living, lambda: living.do(actions.orchard.add_walk, walk()))
    assert "Creek row" in again.message
    assert (
        refused(living, lambda: living.do(actions.orchard.add_walks, [walk(), walk()])).field
        == "at"
    )


def test_a_walk_is_changed_and_deleted(living: Season) -> None:
    one = walk()
    living.do(actions.orchard.add_walk, one)
    corrected = replace(one, feel_counts=(12, 6, 3, 0, 0))
    living.do(actions.orchard.change_walk, corrected)
    assert living.book.walks == {one.id: corrected}
    row = refused(living, lambda: living.do(actions.orchard.delete_row, "row"))
    assert "was walked" in row.message
    living.do(actions.orchard.delete_walk, one.id)
    assert living.book.walks == {}
    for act in (
        lambda: actions.orchard.change_walk(living.state, one),
        lambda: actions.orchard.delete_walk(living.state, one.id),
    ):
        refused(living, act)
    living.do(actions.orchard.delete_row, "row")
