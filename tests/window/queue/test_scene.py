"""The snapshot that the queue shows."""

from collections.abc import Callable
from datetime import date

import numpy as np

from ripenroom.records.market import ExpectedPick
from ripenroom.season.findings import Supply
from ripenroom.season.projection import Projection
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import day_of
from tests.window.queue.conftest import line

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
