"""Which batches a check would tell most about."""

import numpy as np

from ripenroom.records.book import Book
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import FloatColumn, Projection, State

_SOON_H = 24.0 * 10.0
"""A date further ahead is not decided on yet."""

_CHECKED_LATELY_H = 18.0
"""What was squeezed so lately tells little more today."""


def worth_checking(book: Book, projection: Projection) -> tuple[str, ...]:
    """Batches with fruit left whose next date comes soon, the one that is least sure first."""
    now_h = projection.at_h
    width_h = np.full(len(projection.batch_ids), -np.inf)
    for dates in (projection.closes_h, projection.opens_h):
        # Written over by the opening wherever that lies ahead: it comes first.
        soon = _within(dates.mid, now_h) & np.isfinite(dates.high - dates.low)
        width_h[soon] = (dates.high - dates.low)[soon]
    lately = checked_lately(book, now_h)
    dead = np.isin(projection.state, (State.WONT_RIPEN, State.PAST))
    squeezed = np.array([i in lately for i in projection.batch_ids], dtype=bool)
    width_h[(projection.left < 1.0) | dead | squeezed] = -np.inf
    order = np.argsort(-width_h, kind="stable")
    return tuple(projection.batch_ids[n] for n in order if width_h[n] > 0.0)


def checked_lately(book: Book, now_h: float) -> frozenset[str]:
    """Ids of batches that were squeezed so lately that more tells little, as on ``now_h`` (h)."""
    since_h = now_h - _CHECKED_LATELY_H
    return frozenset(c.batch_id for c in book.checks.values() if to_hours(c.at) > since_h)


def _within(date_h: FloatColumn, now_h: float) -> np.ndarray:
    return np.asarray((date_h > now_h) & (date_h < now_h + _SOON_H))
