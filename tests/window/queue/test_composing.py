"""Scenes come from the season; what has not changed is not made anew."""

from ripenroom.window.queue.composing import SceneMaker
from ripenroom.window.queue.lines import Filter, Shown, SortBy
from ripenroom.window.session import Session


def test_every_batch_and_market_day_of_the_season_is_there(session: Session) -> None:
    book = session.season.book
    scene = SceneMaker(session).scene(SortBy.CLOSES, Filter(shown=Shown.ALL))
    assert sorted(scene.facts.batch_ids) == sorted(book.batches)
    assert len(scene.order) == len(book.batches)
    assert {band.market_day_id for band in scene.bands} == set(book.market_days)
    wants = sum(len(band.supplies) for band in scene.bands)
    assert wants == len(book.wants)


def test_facts_are_kept_until_the_book_changes(session: Session) -> None:
    maker = SceneMaker(session)
    first = maker.scene(SortBy.CLOSES, Filter())
    assert maker.scene(SortBy.PLACE, Filter()).facts is first.facts
    batch_id = first.facts.batch_ids[0]
    here = session.season.place_of(batch_id)
    assert here is not None
    other = next(place for place in session.season.book.places.values() if place.id != here.id)
    session.season.move([batch_id], other.id, session.season.now())
    after = maker.scene(SortBy.CLOSES, Filter()).facts
    assert after.places[after.batch_ids.index(batch_id)] == other.name
