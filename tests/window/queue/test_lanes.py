"""Where planned ways are drawn."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from PySide6.QtWidgets import QApplication

from ripenroom.season.plans.plan import PlannedMove
from ripenroom.window.queue.lanes import (
    MOST_LEVELS,
    WING,
    Lane,
    Tag,
    grip_px,
    lane_of,
    ring_spans,
    spread,
)
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import shelf_of
from ripenroom.window.queue.queue_plan import ItineraryEnd
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from tests.window.queue.conftest import NOW, NOW_H, line, pulled_line

MakePlanned = Callable[..., Scene]
VIEW = TimeView(NOW_H - 48.0, 2.0, 1000.0)


@pytest.fixture
def sizes(qapp: QApplication) -> Sizes:
    return Sizes.of(qapp.font(), with_lane=True)


def lane(scene: Scene, sizes: Sizes, row: int = 0) -> Lane:
    view = LineView(0.0, sizes.line_px, 400.0)
    return lane_of(scene, scene.line_at(row), row, VIEW, view, sizes)


def test_a_lane_lies_under_the_shelf_and_over_the_next_line(
    make_planned: MakePlanned, sizes: Sizes
) -> None:
    found = lane(make_planned(2, pulled_line("batch-0", 1)), sizes)
    view = LineView(0.0, sizes.line_px, 400.0)
    assert found.top > shelf_of(view, 0, sizes)
    assert found.top + sizes.lane_px <= view.y(1)
    [track] = found.tracks
    assert found.top < track.y < found.top + sizes.lane_px


def test_a_track_goes_from_now_over_its_pull_to_its_market(
    make_planned: MakePlanned, sizes: Sizes
) -> None:
    [track] = lane(make_planned(1, pulled_line("batch-0", 1)), sizes).tracks
    assert track.start_x == VIEW.x(NOW_H)
    assert track.pull_x == VIEW.x(NOW_H + 24.0 + 9.0)
    assert track.end_x == VIEW.x(NOW_H + 48.0)
    assert track.stays == ((track.pull_x, "Cell."),)


def test_ways_of_a_batch_have_levels_of_their_own(make_planned: MakePlanned, sizes: Sizes) -> None:
    lines = [pulled_line("batch-0", n % 2, market_day_id="day-9", crates=n + 1) for n in range(5)]
    found = lane(make_planned(1, *lines), sizes)
    assert len(found.tracks) == 5
    assert len({track.y for track in found.tracks}) == MOST_LEVELS
    [tag] = found.tags  # all for the same market day
    assert tag.crates == 15


def test_tags_tell_packed_from_pinned(make_planned: MakePlanned, sizes: Sizes) -> None:
    packed = line("batch-0", pin_id="a", packed=True)
    stays = line("batch-0", pin_id="b", market_day_id="day-9")
    moved = pulled_line("batch-1", 1, pin_id="c")
    scene = make_planned(2, packed, stays, moved)
    first, second = lane(scene, sizes).tags
    assert (first.packed, first.pinned) == (True, True)
    assert (second.packed, second.pinned) == (False, True)
    [third] = lane(scene, sizes, row=1).tags
    assert not third.pinned  # its knot is at the pull


def test_crates_without_a_market_end_where_they_are_past_or_at_once(
    make_planned: MakePlanned, sizes: Sizes
) -> None:
    left = line("batch-0", market_day_id=None)
    cleared = line("batch-0", market_day_id=None, to_place_id=None)
    scene = make_planned(1, left, cleared)
    ends = {track.way.fate: track for track in lane(scene, sizes).tracks}
    assert ends[ItineraryEnd.LEFT].end_x == VIEW.x(float(scene.projection.closes_h.mid[0]))
    assert ends[ItineraryEnd.CLEARED].end_x == ends[ItineraryEnd.CLEARED].start_x
    assert math.isnan(ends[ItineraryEnd.LEFT].pull_x)


def test_without_a_plan_the_lane_is_empty(make_planned: MakePlanned, sizes: Sizes) -> None:
    found = lane(make_planned(1), sizes)
    assert (found.tracks, found.tags) == ((), ())


def test_pulls_of_one_evening_stand_side_by_side(make_planned: MakePlanned, sizes: Sizes) -> None:
    lines = [pulled_line("batch-0", 1, market_day_id=day) for day in ("day-2", "day-9")]
    first, second = lane(make_planned(1, *lines), sizes).tracks
    assert first.pull_x == VIEW.x(NOW_H + 24.0 + 9.0)
    assert second.pull_x - first.pull_x >= 2.0 * grip_px(sizes)


def test_each_move_of_a_way_has_its_ring(make_planned: MakePlanned, sizes: Sizes) -> None:
    """A way to the cold and back; its last move is the one that the hand takes hold of."""
    back = pulled_line("batch-0", 4, market_day_id="day-9")
    tonight = PlannedMove(NOW + timedelta(hours=9), "shelf")
    way = replace(back, steps=(tonight, PlannedMove(back.steps[0].at, "cold")))
    other = pulled_line("batch-0", 4, market_day_id="day-9", crates=2)
    first, second = lane(make_planned(1, way, other), sizes).tracks
    assert first.stays[0][0] == VIEW.x(NOW_H + 9.0)
    assert first.pull_x == first.stays[-1][0] == VIEW.x(NOW_H + 4 * 24.0 + 9.0)
    edges = sorted(ring_spans(first, sizes) + ring_spans(second, sizes))
    assert len(edges) == 3
    assert all(one[1] < after[0] for one, after in pairwise(edges))


def boxes(tags: Sequence[Tag], rings: Sequence[tuple[float, float]] = ()) -> list[float]:
    return [tag.box_x for tag in spread(tags, rings, lambda tag: 10.0)]


def test_no_number_covers_another_one_a_tick_or_a_ring() -> None:
    def tag(x: float, fate: ItineraryEnd = ItineraryEnd.SOLD) -> Tag:
        return Tag(x, fate, 3, packed=False, pinned=False)

    assert boxes([tag(100.0)]) == [102.0]
    assert boxes([tag(100.0)], rings=[(106.0, 114.0)]) == [88.0]  # to the left of its tick
    close = boxes([tag(100.0), tag(108.0)])
    assert close == [88.0, 110.0]
    crowded = boxes([tag(100.0), tag(104.0), tag(108.0)])
    assert [math.isnan(x) for x in crowded] == [False, True, False]
    # Words of what goes to no market day give way to numbers.
    assert boxes([tag(100.0, ItineraryEnd.LEFT), tag(101.0)]) == [88.0, 103.0]


def test_rings_and_knots_of_one_evening_stand_apart(
    make_planned: MakePlanned, sizes: Sizes
) -> None:
    lines = [
        pulled_line("batch-0", 1, market_day_id="day-9", crates=n + 1, pin_id=pin)
        for n, pin in enumerate((None, "a", None, "b"))
    ]
    found = lane(make_planned(1, *lines), sizes)
    grip = grip_px(sizes)
    edges = sorted(
        (track.pull_x - reach, track.pull_x + reach)
        for track in found.tracks
        for reach in [grip * (WING if track.way.pinned else 1.0)]
    )
    assert len(edges) == 4
    # Two pixels of ground between lines that are two pixels thick.
    assert all(after[0] - before[1] >= 4.0 - 1e-6 for before, after in pairwise(edges))
