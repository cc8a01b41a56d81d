"""The snapshot that the queue shows."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.moments import from_hours
from ripenroom.season.projection import Projection, Supply
from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.queue.scene import Scene, SceneMaker, expected_of
from ripenroom.window.queue.time_view import day_of
from ripenroom.window.session import Session
from tests.window.planned import planned
from tests.window.queue.conftest import CROPS, ZONE, line

MakeScene = Callable[..., Scene]


def test_market_days_are_bands_over_their_local_day(make_scene: MakeScene) -> None:
    supplies = [Supply("day-2", "pawpaw", 60, 72.0, 50.0, 90.0)]
    scene = make_scene([(1.0, 3.0)], {5: "Corner shop", 2: "Village market"}, supplies)
    assert [band.name for band in scene.bands] == ["Village market", "Corner shop"]
    assert scene.bands[0].supplies == tuple(supplies)
    assert scene.bands[1].supplies == ()
    first = scene.bands[0]
    assert day_of(first.first_h, scene.zone) == date(2026, 9, 26)
    assert first.first_h < first.starts_h < first.last_h


def test_trying_keeps_every_line_in_its_place(
    make_scene: MakeScene, make_projection: Callable[..., Projection]
) -> None:
    scene = make_scene([(1.0, 3.0), (2.0, 9.0)], {2: "Village market"})
    tried = make_projection([(8.0, 12.0), (2.0, 3.0)])
    trial = scene.trying(tried)
    assert trial.order.tolist() == scene.order.tolist()
    assert trial.projection is tried
    assert trial.ghost is scene.projection
    assert all(band.tried for band in trial.bands)
    assert not any(band.tried for band in scene.bands)


def test_span_reaches_from_the_first_pick_to_the_last_close(make_scene: MakeScene) -> None:
    scene = make_scene([(1.0, 3.0), (2.0, 40.0)])
    first_h, last_h = scene.span_h()
    assert first_h < scene.facts.picked_h.min()
    assert last_h > np.nanmax(scene.projection.closes_h.high)


def test_an_empty_season_still_spans_today_and_two_weeks(make_scene: MakeScene) -> None:
    first_h, last_h = make_scene([]).span_h()
    assert first_h < make_scene([]).now_h < last_h - 14 * 24


PICK = ExpectedPick(id="pick", crop="pawpaw", on=date(2026, 10, 30), count=40, place_id="cold")


def test_expected_picks_are_the_lines_below_all_batches(make_planned: MakeScene) -> None:
    scene = make_planned(3, line("", expected_pick_id="pick"), line("batch-1"), expected=[PICK])
    assert scene.rows == 4
    assert [scene.row_of(scene.line_at(row)) for row in range(4)] == [0, 1, 2, 3]
    below = scene.line_at(3)
    assert scene.expected_at(below) is scene.expected[0]
    assert scene.expected_at(scene.line_at(2)) is None
    assert scene.row_of(below + 1) is None
    assert [way.line.expected_pick_id for way in scene.ways_of(below)] == ["pick"]
    assert [way.line.batch_id for way in scene.ways_of(1)] == ["batch-1"]
    assert scene.ways_of(0) == ()
    assert scene.span_h()[1] > scene.expected[0].picked_h


def test_while_a_set_point_is_tried_there_is_no_plan(
    make_planned: MakeScene, make_projection: Callable[..., Projection]
) -> None:
    scene = make_planned(1, line("batch-0"))
    assert scene.ways_of(0)
    assert scene.trying(make_projection([(2.0, 4.0)])).ways_of(0) == ()


TODAY = date(2026, 9, 24)


def pick(key: str, day: int, crop: str = "pawpaw", place: str = "cold") -> ExpectedPick:
    return ExpectedPick(id=key, crop=crop, on=date(2026, 9, day), count=30, place_id=place)


@pytest.fixture
def book(make_book: Callable[..., Book]) -> Book:
    picks = [pick("late", 30), pick("over", 23), pick("today", 24), pick("pears", 25, "pear")]
    return make_book(1).with_changes([*picks, pick("shelf", 26, place="shelf")])


def ids(book: Book, keep: Filter) -> list[str]:
    return [one.pick_id for one in expected_of(book, TODAY, CROPS, keep, ZONE)]


def test_picks_from_today_on_come_in_their_order(book: Book) -> None:
    assert ids(book, Filter()) == ["today", "pears", "shelf", "late"]


def test_the_word_that_nothing_more_comes_is_no_line(book: Book) -> None:
    over = replace(pick("end", 27), count=0)
    assert ids(book.with_changes([over]), Filter()) == ids(book, Filter())


def test_the_filter_holds_for_them_too(book: Book) -> None:
    assert ids(book, Filter(crop="European pear")) == ["pears"]
    assert ids(book, Filter(place="Cellar shelf")) == ["shelf"]


def test_a_pick_is_drawn_from_noon_of_its_day(book: Book) -> None:
    first = expected_of(book, TODAY, CROPS, Filter(), ZONE)[0]
    noon = from_hours(first.picked_h, ZONE)
    assert (noon.date(), noon.hour) == (TODAY, 12)
    assert (first.crop, first.place, first.count) == ("Pawpaw", "Cold room", 30)


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
