"""Which batches the queue shows, and in which order."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from ripenroom.season.projection import Projection, State
from ripenroom.window.queue.facts import Facts

Order = npt.NDArray[np.intp]
"""Indices into a projection's columns, top line first."""


class SortBy(StrEnum):
    """What the lines are sorted by; each falls back on the window's close, then the pick."""

    CLOSES = "closes"
    OPENS = "opens"
    PICKED = "picked"
    PLACE = "place"
    CROP = "crop"


class Shown(StrEnum):
    """Which batches are worth a line."""

    GOOD = "good"
    """Fruit left, and not past."""
    LEFT = "left"
    """Fruit left, past or not."""
    ALL = "all"
    """Also those of which nothing is left."""


@dataclass(frozen=True, slots=True)
class Filter:
    """Lines to show; None means any."""

    crop: str | None = None
    place: str | None = None
    shown: Shown = Shown.LEFT


def arrange(projection: Projection, facts: Facts, sort_by: SortBy, keep: Filter) -> Order:
    """Indices of the lines to show, in order.

    Fruit that is past comes after all that can still be eaten, and batches with nothing left after
    that: what needs a decision stands on top.
    """
    gone = projection.left <= 0
    past = projection.state == State.PAST
    mask = np.ones(len(facts.batch_ids), dtype=bool)
    if keep.shown is not Shown.ALL:
        mask &= ~gone
    if keep.shown is Shown.GOOD:
        mask &= ~past
    if keep.crop is not None:
        mask &= _equals(facts.crops, facts.crop_rank, keep.crop)
    if keep.place is not None:
        mask &= _equals(facts.places, facts.place_rank, keep.place)
    closes = _never_last(projection.closes_h.mid)
    keys: dict[SortBy, npt.NDArray[np.float64] | npt.NDArray[np.int32]] = {
        SortBy.CLOSES: closes,
        SortBy.OPENS: _never_last(projection.opens_h.mid),
        SortBy.PICKED: facts.picked_h,
        SortBy.PLACE: facts.place_rank,
        SortBy.CROP: facts.crop_rank,
    }
    order = np.lexsort((facts.picked_h, closes, keys[sort_by], past, gone))
    return order[mask[order]]


def _never_last(hours: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    never: npt.NDArray[np.float64] = np.where(np.isnan(hours), np.inf, hours)
    return never


def _equals(
    texts: tuple[str, ...], ranks: npt.NDArray[np.int32], wanted: str
) -> npt.NDArray[np.bool_]:
    """Where ``texts`` equal ``wanted``, compared by rank so that 2,000 lines cost one look-up."""
    if wanted not in texts:
        return np.zeros(len(texts), dtype=bool)
    same: npt.NDArray[np.bool_] = ranks == ranks[texts.index(wanted)]
    return same
