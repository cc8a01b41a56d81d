"""Checks: what is refused, what is asked, what is one step of undo."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.entry import CheckEntry
from ripenroom.records.refusal import Question
from ripenroom.season import actions
from ripenroom.season.learned import CheckKind
from ripenroom.season.season import Season
from tests.season.farm import NOW, YESTERDAY, entry, refused


@pytest.fixture
def batch(living: Season) -> Batch:
    [made] = living.do(actions.picks.add, entry(feel_counts=(0, 20, 0, 0, 0)))
    return made


def check(batch: Batch, **given: Any) -> CheckEntry:
    facts: dict[str, Any] = {"at": NOW, "feel_counts": (0, 3, 4, 0, 0), **given}
    return CheckEntry(batch_id=batch.id, **facts)


def test_a_check_is_one_step_and_is_undone(living: Season, batch: Batch) -> None:
    before = living.book
    made = living.do(
        actions.checks.add, check(batch, at=NOW.replace(microsecond=9), note=" upper crates ")
    )
    assert dict(living.book.checks) == {made.id: made}
    assert (made.at, made.note, made.counted) == (NOW, "upper crates", True)
    assert living.undo_label == f"check of {batch.code}"
    living.undo()
    assert living.book == before


def test_readings_keep_their_unit_and_probe_and_feels_none(living: Season, batch: Batch) -> None:
    gauged = living.do(
        actions.checks.add,
        check(batch, feel_counts=None, readings=(48.0, 46.5), reading_unit="N", probe_mm=8.0),
    )
    assert (gauged.reading_unit, gauged.probe_mm) == ("N", 8.0)
    felt = living.do(actions.checks.add, check(batch, reading_unit="N", probe_mm=8.0))
    assert (felt.reading_unit, felt.probe_mm) == (None, None)


def test_a_check_is_mended_switched_off_and_deleted(living: Season, batch: Batch) -> None:
    made = living.do(actions.checks.add, check(batch))
    living.do(actions.checks.count_in, made.id, False)
    assert not living.book.checks[made.id].counted
    mended = replace(living.book.checks[made.id], feel_counts=(0, 5, 2, 0, 0))
    living.do(actions.checks.change, mended)
    assert living.book.checks[made.id] == mended
    living.do(actions.checks.delete, made.id)
    assert not living.book.checks
    living.undo()
    living.undo()
    living.undo()
    assert dict(living.book.checks) == {made.id: made}


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"at": YESTERDAY - timedelta(days=3)}, "at", "before P-0930-1 was picked"),
        ({"at": NOW + timedelta(hours=3)}, "at", "still to come"),
        ({"feel_counts": None}, "feel_counts", "No fruit counted yet"),
        ({"feel_counts": (0, 0, 0, 0, 0)}, "feel_counts", "All feels are 0"),
        ({"feel_counts": (0, 21, 0, 0, 0)}, "feel_counts", "only 20 left"),
        ({"feel_counts": (0, -1, 3, 0, 0)}, "feel_counts", "whole number"),
        ({"feel_counts": None, "readings": (12.0,)}, "reading_unit", "which unit"),
        ({"readings": (12.0,), "reading_unit": "N"}, "readings", "not both"),
        (
            {"feel_counts": None, "readings": (12.0,) * 21, "reading_unit": "N"},
            "readings",
            "21 fruit",
        ),
        ({"note": "x" * 10_001}, "note", "10,000"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    living: Season, batch: Batch, given: dict[str, Any], field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.checks.add, check(batch, **given)))
    assert refusal.field == field
    assert words in refusal.message


def test_fruit_that_is_gone_cannot_be_squeezed(living: Season, batch: Batch) -> None:
    living.do(actions.batches.take_out, batch.id, 15, "sold", NOW - timedelta(hours=2))
    assert living.ask.fruit_left(batch.id) == 5
    refusal = refused(living, lambda: living.do(actions.checks.add, check(batch)))
    assert "only 5 left" in refusal.message
    # What was squeezed before it was sold was there.
    living.do(actions.checks.add, check(batch, at=NOW - timedelta(hours=3)))
    living.do(actions.batches.take_out, batch.id, 5, "discarded", NOW - timedelta(hours=1))
    gone = refused(
        living, lambda: living.do(actions.checks.add, check(batch, feel_counts=(0, 1, 0, 0, 0)))
    )
    assert (gone.field, "all was sold or discarded" in gone.message) == ("at", True)


def test_a_batch_or_check_that_is_gone_is_refused(living: Season, batch: Batch) -> None:
    made = living.do(actions.checks.add, check(batch))
    living.do(actions.batches.delete, [batch.id])
    assert refused(living, lambda: living.do(actions.checks.add, check(batch))).field == "batch_id"
    for act in (
        lambda: living.do(actions.checks.delete, made.id),
        lambda: living.do(actions.checks.count_in, made.id, False),
        lambda: living.do(actions.checks.change, made),
    ):
        assert "not in the season" in refused(living, act).message


def test_a_pick_is_not_moved_behind_its_checks(living: Season, batch: Batch) -> None:
    living.do(actions.checks.add, check(batch, at=NOW - timedelta(hours=3)))
    later = replace(batch, picked_at=NOW - timedelta(hours=2))
    refusal = refused(living, lambda: living.do(actions.batches.change, later))
    assert (refusal.field, "checked before" in refusal.message) == ("picked_at", True)


def test_a_reading_in_another_unit_is_asked_about(living: Season, batch: Batch) -> None:
    slip = check(batch, feel_counts=None, readings=(14.0,), reading_unit="kgf")
    with pytest.raises(Question) as asked:
        living.do(actions.checks.add, slip)
    assert (asked.value.field, asked.value.suggestion) == ("readings", "N")
    assert not living.book.checks


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"feel_counts": (0, 0, 0, 1, 14)}, "much softer"),
        ({"feel_counts": None, "readings": (11.0, 12.5), "reading_unit": "N"}, "11.8 N"),
        ({"feel_counts": None, "readings": (2.4, 2.6), "reading_unit": "lbf"}, "2.5 lbf"),
    ],
)
def test_what_contradicts_all_else_is_asked_about(
    living: Season, batch: Batch, given: dict[str, Any], words: str
) -> None:
    asked = refused(living, lambda: living.do(actions.checks.add, check(batch, **given)))
    assert isinstance(asked, Question)
    assert (asked.field, asked.possible) == ("surprise", True)
    assert words in asked.message
    made = living.do(actions.checks.add, check(batch, answered=frozenset({"surprise"}), **given))
    assert made.id in living.book.checks
    # It was answered once: a note asks nothing again, another time of day does.
    living.do(actions.checks.change, replace(made, note="mixed up crates?"))
    assert living.book.checks[made.id].note == "mixed up crates?"
    later = replace(living.book.checks[made.id], at=NOW - timedelta(hours=1))
    assert isinstance(refused(living, lambda: living.do(actions.checks.change, later)), Question)


def test_fruit_judged_by_colour_is_called_riper(living: Season) -> None:
    [batch] = living.do(actions.picks.add, entry(crop="tomato", feel_counts=(20, 0, 0, 0, 0)))
    ripe = check(batch, feel_counts=(0, 0, 0, 0, 15))
    assert "much riper" in refused(living, lambda: living.do(actions.checks.add, ripe)).message


def test_how_many_fruit_to_squeeze(living: Season) -> None:
    [batch] = living.do(actions.picks.add, entry(feel_counts=None, count=20))
    for kind in CheckKind:
        design = living.ask.check_design(batch.id, kind)
        assert design is not None
        assert list(design.within_days) == sorted(design.within_days, reverse=True)
        assert len(design.within_days) == 21  # none to all that are left
        assert design.enough is not None
        assert design.within_days[design.enough] < design.within_days[0]
