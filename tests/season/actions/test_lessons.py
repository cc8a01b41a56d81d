"""Lessons: learned in one season, begun from in another."""

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.records.check import TreeLesson
from ripenroom.records.entry import CheckEntry
from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.season.learning.lessons import SharedLesson, SharedLessons
from ripenroom.season.season import Season
from tests.season.farm import NOW, ROOM, entry, farm_records, refused

Open = Callable[..., Season]


def fast_season(open_season: Open, **facts: object) -> Season:
    """A season whose early pawpaws softened faster than the book says."""
    season = open_season(
        *farm_records(), id="00000000-0000-4000-8000-000000000004", name="Hill farm 2025", **facts
    )
    for days in (12, 9, 6):
        at = NOW - timedelta(days=days)
        [batch] = season.do(
            actions.picks.add, entry(place_id=ROOM, picked_at=at, cultivar_id="early")
        )
        for later, counts in ((2.0, (0, 2, 14, 3, 0)), (3.0, (0, 0, 3, 14, 1))):
            season.do(
                actions.checks.add,
                CheckEntry(
                    batch_id=batch.id,
                    at=at + timedelta(days=later),
                    feel_counts=counts,
                    answered=frozenset({"surprise"}),
                ),
            )
    return season


def test_what_one_season_taught_another_begins_from(open_season: Open, tmp_path: Path) -> None:
    last = fast_season(open_season)
    learned = last.learn().rate_of("pawpaw", "early")
    shared = last.ask.lessons()
    assert shared.taught_by == "Hill farm 2025"
    by_cultivar = {lesson.cultivar: lesson for lesson in shared.lessons}
    assert set(by_cultivar) == {"Early", None}
    assert by_cultivar["Early"].checks == 6
    assert learned is not None
    # The book held the season's own estimate back; what is passed on is without the book.
    assert abs(by_cultivar["Early"].log_rate) > abs(learned.log_rate)
    assert by_cultivar["Early"].log_rate_sd > learned.log_rate_sd

    this = open_season(*farm_records())
    this.do(actions.picks.add, entry(place_id=ROOM, cultivar_id="early"))
    before = this.book
    [taken] = this.do(actions.lessons.take, this.ask.lessons_of_file(last.path))
    assert (taken.crop, taken.cultivar, taken.taught_by) == ("pawpaw", "Early", "Hill farm 2025")
    assert this.undo_label == "lessons of Hill farm 2025"
    begun = this.learn().rate_of("pawpaw", "early")
    assert begun is not None
    assert begun.taught_by == ("Hill farm 2025",)
    assert math.copysign(1.0, begun.log_rate) == math.copysign(1.0, learned.log_rate)
    assert abs(begun.log_rate) > 0.3 * abs(learned.log_rate)
    this.undo()
    assert this.book == before


def test_taking_again_replaces_and_deleting_drops(open_season: Open) -> None:
    last, this = fast_season(open_season), open_season(*farm_records())
    shared = last.ask.lessons()
    this.do(actions.lessons.take, shared)
    [again] = this.do(actions.lessons.take, shared)
    assert dict(this.book.lessons) == {again.id: again}
    this.do(actions.lessons.delete, [again.id])
    assert not this.book.lessons
    assert (
        "not in the season"
        in refused(this, lambda: this.do(actions.lessons.delete, [again.id])).message
    )


def test_a_crop_lesson_stands_in_for_cultivars_that_are_not_here(open_season: Open) -> None:
    shared = fast_season(open_season).ask.lessons()
    this = open_season(*farm_records())
    this.do(actions.orchard.save_cultivar, replace(this.book.cultivars["early"], name="Dawn"))
    [taken] = this.do(actions.lessons.take, shared)
    assert taken.cultivar is None


def lesson(**given: object) -> SharedLesson:
    facts: dict[str, object] = {
        "crop": "pawpaw",
        "cultivar": "Early",
        "log_rate": 0.25,
        "log_rate_sd": 0.1,
        "checks": 7,
    }
    return SharedLesson(**{**facts, **given})  # type: ignore[arg-type]


def test_another_book_speed_is_reckoned_with(living: Season) -> None:
    speed = living.crops["pawpaw"].rate
    theirs = 1.5 * speed.per_day.value
    told = lesson(per_day=theirs, reference_c=speed.reference_c)
    [taken] = living.do(actions.lessons.take, SharedLessons("Other", (told,)))
    assert taken.log_rate == pytest.approx(0.25 + math.log(1.5))
    odd = lesson(per_day=theirs, reference_c=speed.reference_c + 5.0)
    why = refused(
        living, lambda: living.do(actions.lessons.take, SharedLessons("Odd", (odd,)))
    ).message
    assert "cannot be compared" in why


def test_what_teaches_nothing_here_is_refused(living: Season, open_season: Open) -> None:
    nothing = living.ask.lessons()
    assert nothing.lessons == ()
    assert (
        "learned nothing yet"
        in refused(living, lambda: living.do(actions.lessons.take, nothing)).message
    )
    speed = living.crops["pawpaw"].rate
    figures = {"per_day": speed.per_day.value, "reference_c": speed.reference_c}
    unknown = SharedLessons("Moon", (lesson(crop="moonfruit", **figures),))
    assert "moonfruit" in refused(living, lambda: living.do(actions.lessons.take, unknown)).message
    other = SharedLessons("Other", (lesson(cultivar="Dusk", **figures),))
    assert "same names" in refused(living, lambda: living.do(actions.lessons.take, other)).message
    living.do(actions.orchard.save_cultivar, Cultivar(id="dusk", crop="pawpaw", name=" dusk"))
    assert len(living.do(actions.lessons.take, other)) == 1


def test_the_season_itself_or_no_season_is_refused(living: Season, tmp_path: Path) -> None:
    itself = refused(living, lambda: living.ask.lessons_of_file(living.path))
    assert "this season itself" in itself.message
    text = tmp_path / "notes.ripenroom"
    text.write_text("milk, bread")
    assert "notes.ripenroom" in refused(living, lambda: living.ask.lessons_of_file(text)).message


def test_what_was_taught_of_a_crop_with_dates_only_is_no_use(living: Season) -> None:
    apple = SharedLesson("apple", None, 0.4, 0.05, 3, 0.5, 20.0)
    refusal = refused(
        living, lambda: living.do(actions.lessons.take, SharedLessons("2025", (apple,)))
    )
    assert "how these soften is not known here, only their dates" in refusal.message


def of_trees(cultivar: str, **given: object) -> TreeLesson:
    facts: dict[str, object] = {
        "id": f"tree {cultivar}",
        "crop": "pawpaw",
        "cultivar": cultivar,
        "by_heat": True,
        "needs_days": 140.0,
        "needs_sd": 5.0,
        "log_spread": 1.3,
        "log_spread_sd": 0.2,
        "log_pace": 0.0,
        "log_pace_sd": 0.3,
        "walks": 9,
        "taught_by": "2025",
    }
    return TreeLesson(**{**facts, **given})  # type: ignore[arg-type]


def test_a_season_takes_what_it_knows_of_picked_fruit_and_of_trees_in_one_step(
    living: Season,
) -> None:
    here, elsewhere = of_trees("Early"), of_trees("Nowhere")
    trees_alone = SharedLessons("2025", (), (here, elsewhere))
    assert living.do(actions.lessons.take, trees_alone) == ()
    assert living.book.tree_lessons == {here.id: here}
    living.undo()
    speed = living.crops["pawpaw"].rate
    told = lesson(per_day=speed.per_day.value, reference_c=speed.reference_c)
    [taken] = living.do(actions.lessons.take, SharedLessons("2025", (told,), (here,)))
    assert (living.book.lessons, living.book.tree_lessons) == (
        {taken.id: taken},
        {here.id: here},
    )
    living.do(actions.lessons.delete, [here.id])
    assert living.book.tree_lessons == {}
    living.undo()
    living.undo()
    assert (living.book.lessons, living.book.tree_lessons) == ({}, {})
    nowhere = SharedLessons("2025", (), (elsewhere,))
    assert "same names" in refused(living, lambda: living.do(actions.lessons.take, nowhere)).message


def test_rows_begin_from_lessons_about_cultivars_that_are_here(living: Season) -> None:
    here, elsewhere = of_trees("EARLY "), of_trees("Nowhere")
    living.do(actions.lessons.take_of_trees, [here, elsewhere])
    assert living.book.tree_lessons == {here.id: here}
    assert living.undo_label == "lessons of trees of 2025"
    better = of_trees("EARLY ", needs_sd=3.0)
    living.do(actions.lessons.take_of_trees, [better])
    assert living.book.tree_lessons == {here.id: better}
    living.do(actions.lessons.forget_of_trees)
    assert living.book.tree_lessons == {}
    none: list[TreeLesson] = []
    nothing = refused(living, lambda: living.do(actions.lessons.take_of_trees, none))
    assert "learned nothing" in nothing.message
    unknown = refused(living, lambda: living.do(actions.lessons.take_of_trees, [elsewhere]))
    assert "that this season does not have" in unknown.message
    assert (
        "do not start from another season"
        in refused(living, lambda: living.do(actions.lessons.forget_of_trees)).message
    )
