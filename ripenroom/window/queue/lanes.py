"""Where the planned moves of a batch are drawn, in the lane below its line.

All ways of a batch share its lane. Each has a level of its own, so that a track which crosses
another one's time stays to be seen; beyond three they share the lowest. Moves of one evening stand
side by side.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import FOOT_PX
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.shapes import BEYOND_PX, tail_end_h
from ripenroom.window.queue.time_view import LineView, TimeView

MOST_LEVELS: Final = 3
WING: Final = 1.7
"""How far a knot reaches to each side, against the ring of a pull."""
_APART_PX: Final = 4.0
"""Between the middles of their lines, which are half of it thick."""
_OPEN_END_H: Final = 72.0
"""How long the track of crates that are left is drawn where nothing says when they are past."""


@dataclass(frozen=True, slots=True)
class Track:
    """Pixels from the left edge of the lines, for one way; ``nan`` where there is none."""

    way: QueueItinerary
    y: float
    start_x: float
    stays: tuple[tuple[float, str], ...]
    """Where the ring of each move is, and the mark of the place that it goes to."""
    pull_x: float
    end_x: float


@dataclass(frozen=True, slots=True)
class Tag:
    """Where crates of one line leave: how many, and whether all of them are packed.

    ``pinned`` crates that are not pulled have their knot here. ``box_x`` is where their number
    begins, ``nan`` where there is no room for it.
    """

    x: float
    fate: ItineraryEnd
    crates: int
    packed: bool
    pinned: bool
    box_x: float = math.nan


@dataclass(frozen=True, slots=True)
class Lane:
    """A line's lane from ``top`` on (pixels from the lines' top), with its tracks and tags."""

    top: float
    tracks: tuple[Track, ...]
    tags: tuple[Tag, ...]


def lane_of(
    scene: Scene, line: int, row: int, view: TimeView, line_view: LineView, sizes: Sizes
) -> Lane:
    """The lane of one line."""
    top = line_view.y(row + 1) - FOOT_PX - sizes.lane_px + 2.0
    ways = scene.ways_of(line)
    levels = min(len(ways), MOST_LEVELS)
    step = (sizes.lane_px - 2.0) / max(levels, 2)
    middle = top + sizes.lane_px / 2.0 - 1.0
    pick = scene.expected_at(line)
    begins_h = max(scene.now_h, pick.picked_h if pick else scene.facts.picked_h[line])
    grip = grip_px(sizes)
    tracks: list[Track] = []
    rings: list[tuple[float, float]] = []
    for number, way in enumerate(ways):
        level = min(number, MOST_LEVELS - 1)
        stays: list[tuple[float, str]] = []
        for hour, mark in way.waits[1:]:
            reach = _reach(way, grip, last=len(stays) == len(way.waits) - 2)
            x = _beside(rings, _px(view, hour), reach)
            rings.append((x, reach))
            stays.append((x, mark))
        tracks.append(
            Track(
                way=way,
                y=round(middle + (level - (levels - 1) / 2.0) * step) + 0.5,
                start_x=_px(view, begins_h),
                stays=tuple(stays),
                pull_x=stays[-1][0] if stays else _px(view, way.pull_h),
                end_x=_px(view, _end_h(scene, line, way, begins_h)),
            )
        )
    return Lane(top, tuple(tracks), _tags(tracks))


def grip_px(sizes: Sizes) -> float:
    """Half the width of a pull's ring."""
    return max(sizes.lane_px * 0.32, 3.0)


def ring_spans(track: Track, sizes: Sizes) -> list[tuple[float, float]]:
    """From where to where the rings of a track's moves, and its knot, reach."""
    grip, last = grip_px(sizes), len(track.stays) - 1
    reaches = ((x, _reach(track.way, grip, n == last)) for n, (x, _) in enumerate(track.stays))
    return [(x - reach, x + reach) for x, reach in reaches]


def _reach(way: QueueItinerary, grip: float, last: bool) -> float:
    """How far what is drawn at a move reaches to each side: a knot, at the last one, further."""
    return grip * WING if last and way.pinned and not way.written else grip


def spread(
    tags: Sequence[Tag], rings: Sequence[tuple[float, float]], width_of: Callable[[Tag], float]
) -> tuple[Tag, ...]:
    """The tags with places for their numbers such that none covers another one, or a ring, of
    which each has its left and right edge.

    A number stands right of its tick, else left of it. Where neither is free it is not drawn.
    """
    taken = list(rings)
    taken += [(tag.x - 1.0, tag.x + 1.0) for tag in tags if tag.fate is ItineraryEnd.SOLD]
    placed: dict[Tag, Tag] = {}
    for tag in sorted(tags, key=lambda tag: (tag.fate is not ItineraryEnd.SOLD, tag.x)):
        width = width_of(tag)
        for x in (tag.x + 2.0, tag.x - 2.0 - width):
            if not any(x < last and first < x + width for first, last in taken):
                taken.append((x, x + width))
                placed[tag] = replace(tag, box_x=x)
                break
    return tuple(placed.get(tag, tag) for tag in tags)


def _beside(others: Sequence[tuple[float, float]], x: float, reach: float) -> float:
    """``x``, or right of the rings and knots that stand there already: of each its middle and how
    far it reaches to either side, which is as far apart that two are seen."""
    for other, its in sorted(others):
        if abs(x - other) < its + reach + _APART_PX:
            x = other + its + reach + _APART_PX
    return x


def _end_h(scene: Scene, line: int, way: QueueItinerary, begins_h: float) -> float:
    """Until when a track is drawn."""
    if way.fate is ItineraryEnd.CLEARED:
        return begins_h
    if not math.isnan(way.ends_h):
        return way.ends_h
    if scene.expected_at(line) is not None:
        return begins_h + _OPEN_END_H
    closes_h = float(scene.projection.closes_h.mid[line])
    if math.isnan(closes_h):
        closes_h = tail_end_h(scene.projection, line)
    last_h = begins_h + _OPEN_END_H if math.isnan(closes_h) else closes_h
    return max(last_h, begins_h, 0.0 if math.isnan(way.pull_h) else way.pull_h + 24.0)


def _tags(tracks: Sequence[Track]) -> tuple[Tag, ...]:
    """Crates that leave at the same time for the same end are counted together."""
    together: dict[tuple[float, ItineraryEnd], list[Track]] = {}
    for track in tracks:
        together.setdefault((track.end_x, track.way.fate), []).append(track)
    return tuple(
        Tag(
            x=x,
            fate=fate,
            crates=sum(one.way.line.crates for one in found),
            packed=all(one.way.line.packed for one in found),
            pinned=all(one.way.pinned and math.isnan(one.pull_x) for one in found),
        )
        for (x, fate), found in together.items()
    )


def _px(view: TimeView, hour: float) -> float:
    if math.isnan(hour):
        return math.nan
    return min(max(view.x(hour), -BEYOND_PX), view.width_px + BEYOND_PX)
