"""A season that was worked in all day says what it says when it is opened again."""

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from ripenroom.records.book import new_id
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import Row, Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.projection import Projection, Ranged
from ripenroom.season.season import Season
from tests.draws import draws
from tests.season.farm import COLD, NOW, SHELF, farm_records, season_record
from tests.season.learning.checks import FAST, batches

PLACES = (COLD, SHELF, "room")
FEELS = ((20, 5, 0, 0, 0), (2, 9, 6, 0, 0), (0, 3, 9, 8, 0), (0, 0, 2, 14, 4))
DONE = ("pick", "move", "check", "check", "check", "set point", "walk", "undo", "redo", "count")

Step = tuple[str, int, int]
Steps = st.lists(st.tuples(st.sampled_from(DONE), st.integers(0, 9), st.integers(0, 9)), max_size=9)


def do(season: Season, step: Step) -> None:
    """One thing that a grower does; what is refused is left."""
    what, which, other = step
    book, at = season.book, season.now() - timedelta(hours=5 * other)
    batch_id = sorted(book.batches)[which % len(book.batches)]
    answered = frozenset({"surprise", "count", "at", "feel_counts"})
    acts: dict[str, Callable[[], object]] = {
        "pick": lambda: season.do(
            actions.picks.add,
            PickEntry(
                crop="pawpaw",
                place_id=PLACES[which % 3],
                picked_at=at,
                cultivar_id=(None, "early")[which % 2],
                feel_counts=FEELS[other % 2],
                answered=answered,
            ),
        ),
        "move": lambda: season.do(actions.moves.move, [batch_id], PLACES[other % 3], season.now()),
        "check": lambda: season.do(
            actions.checks.add,
            CheckEntry(batch_id=batch_id, at=at, feel_counts=FEELS[which % 4], answered=answered),
        ),
        "set point": lambda: season.do(
            actions.places.set_set_point, PLACES[which % 3], 4.0 + 2 * other
        ),
        "walk": lambda: season.do(
            actions.orchard.add_walk,
            Walk(id=new_id(), row_id="row", at=at, feel_counts=FEELS[which % 4]),
        ),
        "undo": season.undo,
        "redo": season.redo,
        "count": lambda: season.do(actions.checks.count_in, "check 1", which % 2 == 0),
    }
    try:
        acts[what]()
    except Refusal:
        assert what not in ("undo", "redo")


def look(season: Season) -> None:
    """What the window works out after everything that is done."""
    learned = season.ask.learned()
    if not learned.tells_nothing_new(season.learned):
        season.take_in(learned)
    season.projection()
    season.ask.orchard()


@pytest.mark.hypothesis
@given(steps=Steps)
@draws(8, suppress_health_check=list(HealthCheck))
def test_what_a_day_of_work_leaves_is_what_the_file_says(
    tmp_path_factory: pytest.TempPathFactory, steps: Sequence[Step]
) -> None:
    path = _farm(tmp_path_factory.mktemp("day") / "day.ripenroom")
    season = Season.open(path, clock=lambda: NOW)
    look(season)
    for step in steps:
        do(season, step)
        look(season)
    projection, orchard, learned = season.projection(), season.ask.orchard(), season.learned
    season.close()

    again = Season.open(path, read_only=True, clock=lambda: NOW)
    look(again)
    assert learned is not None
    assert again.learned is not None
    assert learned.rates == again.learned.rates
    _assert_equal(projection, again.projection())
    assert orchard == again.ask.orchard()
    again.close()


def _farm(path: Path) -> Path:
    rows = [
        replace(record, fruit_on_trees=540, bloomed_on=(NOW - timedelta(days=150)).date())
        if isinstance(record, Row)
        else record
        for record in farm_records()
    ]
    SeasonFile.create(path, season_record(), [*rows, *batches(), *FAST]).close()
    return path


def _assert_equal(one: Projection, other: Projection) -> None:
    """Every number, to the bit."""
    for field in fields(Projection):
        mine, theirs = getattr(one, field.name), getattr(other, field.name)
        assert all(map(_equal, _parts(mine), _parts(theirs))), field.name


def _parts(value: Any) -> Sequence[Any]:
    return (value.low, value.mid, value.high) if isinstance(value, Ranged) else (value,)


def _equal(one: Any, other: Any) -> bool:
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other, equal_nan=one.dtype.kind == "f")
    return bool(one == other)
