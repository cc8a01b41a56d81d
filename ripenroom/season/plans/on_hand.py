"""The fruit that a plan decides on: what is at home now, and what will be picked in time."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

_LEAST_FRUIT = 0.5
"""A batch with less left than this has none; what was weighed need not come out at whole fruit."""


@dataclass(frozen=True, slots=True)
class OnHand:
    """Batches as ``lines``, by code, how many fruit are ``left`` of each, and when it is past if it
    stays as is written down (h; inf: never)."""

    lines: BatchColumns
    left: Floats
    closes_h: Floats


def on_hand(
    state: SeasonState, projector: Projector, book: Book, expected: Mapping[str, str], end_h: float
) -> OnHand:
    """What there is of a ``book`` with batches that stand for ``expected`` picks; what will be
    picked after ``end_h`` (h), the last market day ahead, is no matter for a plan."""
    outlook = projector.outlook(book, state.now)
    soon_h = to_hours(state.now + CLOCK_SLACK)
    lines = outlook.lines
    ahead = np.array([key in expected for key in lines.ids], dtype=bool)
    picked_h = lines.batches.picked_h
    left = np.where(ahead, lines.picked, lines.left_at(np.array([soon_h]))[:, 0])
    in_time = np.where(ahead, picked_h < end_h, picked_h <= soon_h)
    here = np.flatnonzero((left >= _LEAST_FRUIT) & in_time)
    # By code, so that neither ids nor the order of records in a file make another plan; picks that
    # are expected have none, and come by what they are.
    here = np.array(
        sorted(here.tolist(), key=lambda n: _in_order(book, lines.ids[n])), dtype=np.intp
    )
    return OnHand(
        _doubted(lines.of(here), ahead[here], projector), left[here], outlook.past_h[here]
    )


def _in_order(book: Book, batch_id: str) -> tuple[object, ...]:
    batch = book.batches[batch_id]
    cultivar = book.cultivars.get(batch.cultivar_id or "")
    name = cultivar.name if cultivar is not None else ""
    felt = batch.feel_counts or ()
    return (batch.code, batch.picked_at, batch.crop, name, batch.count or 0, felt)


def _doubted(lines: BatchColumns, expected: np.ndarray, projector: Projector) -> BatchColumns:
    """The lines with as much doubt about fruit that nobody has in hand yet as about its kind's."""
    usual = np.array([projector.constants[kind].maturity_sd for kind in lines.kinds])
    if not expected.any():
        return lines
    doubt = np.maximum(lines.batches.doubt_sd, np.where(expected, usual[lines.kind], 0.0))
    return replace(lines, batches=replace(lines.batches, doubt_sd=doubt))
