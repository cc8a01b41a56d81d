"""Where batches are, move by move."""

from datetime import timedelta

import pytest

from ripenroom.window.session import Session
from ripenroom.window.whereabouts import held_at, places_at


def test_it_agrees_with_the_season_for_every_batch(session: Session) -> None:
    season = session.season
    for at in (season.now(), season.now() - timedelta(days=9)):
        found = places_at(season.book, at)
        for batch_id in season.book.batches:
            assert found.get(batch_id) == season.place_of(batch_id, at)
    assert len(places_at(season.book, season.now())) == len(season.book.batches)


def test_what_a_place_holds_adds_up_to_all_that_is_left(session: Session) -> None:
    season, projection = session.season, session.projection()
    held = held_at(season.book, projection, season.now())
    assert sum(here.batches for here in held.values()) == (projection.left > 0).sum()
    assert sum(here.fruit for here in held.values()) == pytest.approx(projection.left.sum())
    some = projection.batch_ids[int(projection.left.argmax())]
    there = season.place_of(some)
    assert there is not None
    assert held[there.id].fruit >= projection.left.max()
