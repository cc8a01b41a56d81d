"""What a change is said to have touched, and nothing else."""

from dataclasses import replace
from datetime import timedelta

import numpy as np

from ripenroom.records.entry import CheckEntry
from ripenroom.records.market import SecondGrade
from ripenroom.records.orchard import Row
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.season.state import Changed, changed_between
from tests.season.farm import COLD, NOW, SHELF, entry, market


def told_by(season: Season) -> list[Changed]:
    """Everything that listeners are told from here on."""
    told: list[Changed] = []
    season.subscribe(told.append)
    return told


def test_a_pick_touches_its_batches(living: Season) -> None:
    told = told_by(living)
    made = living.do(actions.picks.add, entry(feel_counts=(0, 9, 6, 0, 0)))
    touched = Changed(batches=frozenset(batch.id for batch in made))
    assert told == [touched]
    living.undo()
    living.redo()
    assert told == [touched] * 3


def test_a_move_and_a_check_touch_a_batch(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    told = told_by(living)
    living.do(actions.moves.move, [batch.id], SHELF, NOW - timedelta(minutes=5))
    living.do(
        actions.checks.add,
        CheckEntry(
            batch_id=batch.id,
            at=NOW,
            feel_counts=(0, 5, 5, 0, 0),
            answered=frozenset({"surprise"}),
        ),
    )
    only = frozenset({batch.id})
    assert told == [Changed(batches=only), Changed(batches=only)]


def test_set_points_and_readings_touch_a_place(living: Season) -> None:
    told = told_by(living)
    living.do(actions.places.set_set_point, COLD, 2.5)
    times = int((NOW - timedelta(days=2)).timestamp()) + 600 * np.arange(50)
    living.do(actions.places.add_log, COLD, "a.csv", "", times, np.full(50, 6.0))
    assert told == [Changed(places=frozenset({COLD}))] * 2


def test_a_market_day_with_its_wants_is_touched(living: Season) -> None:
    told = told_by(living)
    day, wants = market(3.0, {"pawpaw": 30})
    living.do(actions.ahead.save_market_day, day, wants)
    assert told == [Changed(market_days=frozenset({day.id}))]


def test_orchard_what_lies_ahead_settings_and_what_was_learned(living: Season) -> None:
    told = told_by(living)
    living.do(actions.orchard.save_row, Row(id="row", name="By the gate"))
    grade = SecondGrade(id="pulp", crop="pawpaw", price_minor=20)
    living.do(actions.ahead.save_second_grades, [grade])
    living.do(actions.season.save, replace(living.book.season, name="Another name"))
    living.learn()
    assert told == [
        Changed(orchard=True),
        Changed(ahead=True),
        Changed(settings=True),
        Changed(learned=True),
    ]


def test_what_is_written_back_as_it_was_is_no_change(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    before = living.state
    again = before.with_changes([replace(batch)])
    assert changed_between(before, again) == Changed()
    assert not changed_between(before, again).records


def test_one_change_after_another_is_both() -> None:
    one = Changed(batches=frozenset({"a"}), clock=True)
    other = Changed(batches=frozenset({"b"}), places=frozenset({"c"}), learned=True)
    assert one | other == Changed(
        batches=frozenset({"a", "b"}), places=frozenset({"c"}), learned=True, clock=True
    )
    assert (one | other).records
    assert not (one | other).figures
    assert not Changed(learned=True, clock=True).records
