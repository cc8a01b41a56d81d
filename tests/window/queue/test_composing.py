"""Scenes come from the season; what has not changed is not made anew."""

from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.queue.composing import SceneMaker
from ripenroom.window.session import Session
from tests.window.planned import planned


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
    season = session.season
    batch_id = next(
        one for one in season.book.batches if season.moves_of(one)[-1].at <= season.now()
    )
    here = season.place_of(batch_id)
    assert here is not None
    other = next(place for place in season.book.places.values() if place.id != here.id)
    season.do(actions.moves.move, [batch_id], other.id, season.now())
    after = maker.scene(SortBy.CLOSES, Filter()).facts
    assert after.places[after.batch_ids.index(batch_id)] == other.name


def test_a_plan_is_read_once_and_again_when_it_or_the_book_changes(
    qtbot: QtBot, session: Session
) -> None:
    maker = SceneMaker(session)
    assert maker.scene(SortBy.CLOSES, Filter()).planned is None
    planned(qtbot, session)
    first = maker.scene(SortBy.CLOSES, Filter()).planned
    assert first is not None
    assert maker.scene(SortBy.PLACE, Filter()).planned is first
    planned(qtbot, session)
    assert maker.scene(SortBy.CLOSES, Filter()).planned is not first
    session.plans.close()


def test_expected_picks_ahead_are_lines_of_the_scene(session: Session) -> None:
    scene = SceneMaker(session).scene(SortBy.CLOSES, Filter())
    today = session.season.now().date()
    ahead = {p.id for p in session.season.book.expected_picks.values() if p.on >= today}
    assert {pick.pick_id for pick in scene.expected} == ahead
    assert ahead
