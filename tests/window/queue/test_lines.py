"""Which batches are shown, and in which order."""

from collections.abc import Callable

import pytest

from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.queue.scene import Scene

MakeScene = Callable[..., Scene]
WINDOWS = [(4.0, 9.0), (1.0, 12.0), (-5.0, -2.0), (-1.0, 2.0), (float("nan"), float("nan"))]


def order(make_scene: MakeScene, sort_by: SortBy, keep: Filter | None = None) -> list[int]:
    scene = make_scene(WINDOWS, sort_by=sort_by, keep=keep or Filter(shown=Shown.ALL))
    return [int(line) for line in scene.order]


def test_what_closes_soonest_is_on_top_and_what_is_past_below(make_scene: MakeScene) -> None:
    assert order(make_scene, SortBy.CLOSES) == [3, 0, 1, 4, 2]


@pytest.mark.parametrize(
    ("sort_by", "expected"),
    [
        (SortBy.OPENS, [3, 1, 0, 4, 2]),
        (SortBy.PICKED, [4, 3, 1, 0, 2]),
        (SortBy.CROP, [3, 1, 0, 4, 2]),
        (SortBy.PLACE, [3, 1, 0, 4, 2]),
    ],
)
def test_other_orders(make_scene: MakeScene, sort_by: SortBy, expected: list[int]) -> None:
    assert order(make_scene, sort_by) == expected


def test_nothing_left_comes_last_and_only_on_demand(make_scene: MakeScene) -> None:
    left = [5.0, 0.0, 5.0, 5.0, 5.0]
    everything = make_scene(WINDOWS, left=left, keep=Filter(shown=Shown.ALL))
    assert everything.order.tolist() == [3, 0, 4, 2, 1]
    assert make_scene(WINDOWS, left=left, keep=Filter()).order.tolist() == [3, 0, 4, 2]


def test_past_can_be_hidden(make_scene: MakeScene) -> None:
    assert order(make_scene, SortBy.CLOSES, Filter(shown=Shown.GOOD)) == [3, 0, 1, 4]


def test_filters_by_crop_and_place_go_together(make_scene: MakeScene) -> None:
    assert order(make_scene, SortBy.CLOSES, Filter(crop="European pear", shown=Shown.ALL)) == [3, 1]
    assert order(make_scene, SortBy.CLOSES, Filter(place="Cold room", shown=Shown.ALL)) == [0, 4, 2]
    both = Filter(crop="European pear", place="Cold room", shown=Shown.ALL)
    assert order(make_scene, SortBy.CLOSES, both) == []


def test_a_crop_that_is_no_more_shows_nothing(make_scene: MakeScene) -> None:
    assert order(make_scene, SortBy.CLOSES, Filter(crop="Quince")) == []
