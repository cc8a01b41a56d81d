"""Where batches are, move by move."""

from datetime import timedelta

from ripenroom.window.session import Session
from ripenroom.window.whereabouts import places_at


def test_it_agrees_with_the_season_for_every_batch(session: Session) -> None:
    season = session.season
    for at in (season.now(), season.now() - timedelta(days=9)):
        found = places_at(season.book, at)
        for batch_id in season.book.batches:
            assert found.get(batch_id) == season.place_of(batch_id, at)
    assert len(places_at(season.book, season.now())) == len(season.book.batches)
