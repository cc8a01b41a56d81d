"""Hours to pixels and back, zooming, panning, and which lines are in sight."""

import numpy as np
import pytest

from ripenroom.window.queue.time_view import (
    NARROWEST_PX_PER_H,
    WIDEST_PX_PER_H,
    LineView,
    TimeView,
)


def test_pixels_and_hours_are_inverse() -> None:
    view = TimeView(left_h=1000.0, px_per_h=2.5, width_px=800.0)
    assert view.hour(view.x(1234.5)) == pytest.approx(1234.5)
    assert view.right_h == pytest.approx(1320.0)


def test_columns_are_placed_at_once_and_never_stays_never() -> None:
    x = TimeView(0.0, 2.0, 100.0).x(np.array([0.0, 10.0, np.nan]))
    assert x[:2].tolist() == [0.0, 20.0]
    assert np.isnan(x[2])


def test_zoom_keeps_the_hour_under_the_hand() -> None:
    view = TimeView(500.0, 2.0, 600.0)
    zoomed = view.zoomed(1.7, about_x=210.0)
    assert zoomed.hour(210.0) == pytest.approx(view.hour(210.0))
    assert zoomed.px_per_h == pytest.approx(3.4)


@pytest.mark.parametrize(("factor", "limit"), [(1e6, WIDEST_PX_PER_H), (1e-6, NARROWEST_PX_PER_H)])
def test_zoom_has_limits(factor: float, limit: float) -> None:
    assert TimeView(0.0, 2.0, 600.0).zoomed(factor, 300.0).px_per_h == limit


def test_dragging_right_shows_earlier_hours() -> None:
    assert TimeView(100.0, 2.0, 600.0).panned(50.0).left_h == pytest.approx(75.0)


def test_showing_fills_the_width() -> None:
    view = TimeView.showing(100.0, 340.0, 480.0)
    assert view.left_h == pytest.approx(100.0)
    assert view.right_h == pytest.approx(340.0)


def test_showing_less_than_zoom_allows_stands_in_the_middle() -> None:
    view = TimeView.showing(100.0, 102.0, 480.0)
    assert view.px_per_h == WIDEST_PX_PER_H
    assert (view.left_h + view.right_h) / 2.0 == pytest.approx(101.0)


def test_view_never_leaves_the_season() -> None:
    view = TimeView(0.0, 2.0, 200.0)
    assert view.kept_between(50.0, 400.0).left_h == 50.0
    assert TimeView(390.0, 2.0, 200.0).kept_between(50.0, 400.0).right_h == pytest.approx(400.0)


def test_a_short_season_stands_in_the_middle() -> None:
    view = TimeView(0.0, 1.0, 200.0).kept_between(50.0, 100.0)
    assert (view.left_h + view.right_h) / 2.0 == pytest.approx(75.0)


def test_bringing_an_hour_into_sight_moves_no_further_than_needed() -> None:
    view = TimeView(0.0, 1.0, 200.0)
    assert view.with_in_sight(100.0, 20.0) == view
    assert view.with_in_sight(300.0, 20.0).x(300.0) == pytest.approx(180.0)
    assert view.with_in_sight(-50.0, 20.0).x(-50.0) == pytest.approx(20.0)


def test_only_lines_in_sight_are_visible() -> None:
    lines = LineView(top_px=1000.0, line_px=25.0, height_px=500.0).visible(2000)
    assert lines == range(40, 60)
    assert LineView(1010.0, 25.0, 500.0).visible(2000) == range(40, 61)


def test_visible_stops_at_the_last_line() -> None:
    assert LineView(0.0, 25.0, 500.0).visible(3) == range(3)
    assert LineView(0.0, 25.0, 500.0).visible(0) == range(0)


def test_line_under_a_pixel() -> None:
    lines = LineView(top_px=30.0, line_px=25.0, height_px=100.0)
    assert lines.line_at(0.0, 10) == 1
    assert lines.line_at(lines.y(4) + 1.0, 10) == 4
    assert lines.line_at(90.0, 3) is None
