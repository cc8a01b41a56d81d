"""From hours to the edges of what is drawn."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.shapes import BEYOND_PX, PAST_TAIL_H, shapes_of, tail_end_h
from ripenroom.window.queue.time_view import TimeView

MakeScene = Callable[..., Scene]


def view_of(scene: Scene) -> TimeView:
    return TimeView(scene.now_h - 48.0, 2.0, 1000.0)


def test_edges_stand_at_their_hours(make_scene: MakeScene) -> None:
    scene = make_scene([(2.0, 6.0)])
    view = view_of(scene)
    shapes = shapes_of(scene.projection, scene.facts, scene.order, view)
    assert shapes.opens[0] == pytest.approx((48.0 + 48.0) * 2.0)
    assert shapes.opens_low[0] == pytest.approx(shapes.opens[0] - 24.0)
    assert shapes.closes_high[0] == pytest.approx((48.0 + 144.0 + 12.0) * 2.0)
    assert shapes.ready_share[0] == pytest.approx(0.8)


def test_ready_is_full_on_the_best_day_however_little_is_known(make_scene: MakeScene) -> None:
    scene = make_scene([(2.0, 4.0)], spread_days=3.0)
    shapes = shapes_of(scene.projection, scene.facts, scene.order, view_of(scene))
    assert shapes.full_from[0] == shapes.best[0] == shapes.full_to[0]
    assert shapes.opens_low[0] < shapes.opens[0] < shapes.closes[0] < shapes.closes_high[0]


def test_opening_never_begins_before_the_pick(make_scene: MakeScene) -> None:
    scene = make_scene([(-2.5, 4.0)], spread_days=2.0)
    shapes = shapes_of(scene.projection, scene.facts, scene.order, view_of(scene))
    assert shapes.opens_low[0] == shapes.picked[0]


def test_fruit_that_may_last_for_ever_fades_out_beyond_what_is_in_sight(
    make_scene: MakeScene,
) -> None:
    scene = make_scene([(2.0, 6.0)])
    closes = scene.projection.closes_h
    endless = replace(closes, high=np.array([np.nan]))
    view = view_of(scene)
    shapes = shapes_of(replace(scene.projection, closes_h=endless), scene.facts, scene.order, view)
    assert shapes.closes[0] == pytest.approx((48.0 + 144.0) * 2.0)
    assert shapes.closes_high[0] == view.width_px + BEYOND_PX


def test_past_fruit_is_drawn_until_today(make_scene: MakeScene) -> None:
    scene = make_scene([(-9.0, -8.0), (1.0, 2.0)])
    assert tail_end_h(scene.projection, 0) == scene.now_h
    closes_high = float(scene.projection.closes_h.high[1])
    assert tail_end_h(scene.projection, 1) == closes_high + PAST_TAIL_H


def test_fruit_that_never_opens_is_an_outline(make_scene: MakeScene) -> None:
    scene = make_scene([(float("nan"), float("nan")), (1.0, 2.0)])
    shapes = shapes_of(scene.projection, scene.facts, np.array([0, 1]), view_of(scene))
    assert shapes.never[0] == pytest.approx(96.0)  # until now
    assert np.isnan(shapes.never[1])


def test_fruit_that_the_cold_ends_first_is_holding_and_then_past(make_scene: MakeScene) -> None:
    scene = make_scene([(float("nan"), 2.0)])
    view = view_of(scene)
    shapes = shapes_of(scene.projection, scene.facts, np.array([0]), view)
    assert np.isnan(shapes.never[0])
    assert np.isnan(shapes.opens[0])
    closes = scene.projection.closes_h
    assert shapes.full_to[0] == pytest.approx(view.x(closes.low)[0])
    assert shapes.full_from[0] == pytest.approx(view.x(closes.high)[0])


def test_only_the_lines_asked_for_are_made(make_scene: MakeScene) -> None:
    scene = make_scene([(float(n % 9), n % 9 + 3.0) for n in range(2000)])
    lines = scene.order[300:330]
    shapes = shapes_of(scene.projection, scene.facts, lines, view_of(scene))
    assert shapes.opens.shape == (30,)
    assert shapes.picked == pytest.approx(view_of(scene).x(scene.facts.picked_h[lines]))


def test_far_edges_stay_within_what_painters_bear(make_scene: MakeScene) -> None:
    scene = make_scene([(-3000.0, 3000.0)])
    view = TimeView(scene.now_h, 24.0, 500.0)
    shapes = shapes_of(scene.projection, scene.facts, scene.order, view)
    assert shapes.closes[0] == 500.0 + BEYOND_PX
    assert shapes.opens[0] == -BEYOND_PX


def test_a_gate_stands_at_its_hour_and_nowhere_if_it_never_opens(make_scene: MakeScene) -> None:
    scene = make_scene([(2.0, 6.0)] * 3)
    hours = np.array([scene.now_h + 24.0, np.inf, np.nan])
    projection = replace(scene.projection, gate_opens_h=hours)
    shapes = shapes_of(projection, scene.facts, np.array([0, 1, 2]), view_of(scene))
    assert shapes.gate[0] == pytest.approx(144.0)
    assert np.isnan(shapes.gate[1:]).all()
