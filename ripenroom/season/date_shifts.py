"""What checks changed of a batch's dates: against the book, and one check at a time."""

import math
import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Ranged
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of


class NextDate(StrEnum):
    """Which date of a batch is told."""

    OPENS = "opens"
    CLOSES = "closes"


@dataclass(frozen=True, slots=True)
class ShiftedDate:
    """A date (h) of a batch with its 80 % range."""

    ahead: NextDate
    low_h: float
    mid_h: float
    high_h: float


@dataclass(frozen=True, slots=True)
class DateShift:
    """The same date of one batch by the book, and with what checks taught."""

    before: ShiftedDate
    after: ShiftedDate

    @property
    def earlier_days(self) -> float:
        """How many days earlier the date is than by the book; negative: later."""
        return (self.before.mid_h - self.after.mid_h) / 24.0


def taught(state: SeasonState, batch_id: str) -> DateShift | None:
    """A batch's next date by the book and as learned; None where there is none to compare."""
    after = _dates(state, batch_id)
    before = _dates(replace(state, learned=None), batch_id)
    for ahead in NextDate:
        then, first = after.get(ahead), before.get(ahead)
        if then is not None and first is not None and then.mid_h > to_hours(state.now):
            return DateShift(first, then)
    return None


def pulls(
    state: SeasonState, batch_id: str, cancel: threading.Event | None = None
) -> Mapping[str, DateShift]:
    """What each check of a batch changes of its date: ``before`` without it, ``after`` with it.

    By the check's id; of a check that is not counted, as if it were. Everything is learned anew for
    each, so this belongs in a thread of its own.
    """
    from ripenroom.season.learning.fit import fit

    own = [check for check in state.book.checks.values() if check.batch_id == batch_id]
    as_it_is = _dates(state, batch_id)
    found: dict[str, DateShift] = {}
    for check in own:
        other = state.with_changes((replace(check, counted=not check.counted),))
        switched = _dates(replace(other, learned=fit(other, cancel)), batch_id)
        for ahead in NextDate:
            here, there = as_it_is.get(ahead), switched.get(ahead)
            if here is None or there is None or here.mid_h <= to_hours(state.now):
                continue
            found[check.id] = DateShift(there, here) if check.counted else DateShift(here, there)
            break
    return found


def _dates(state: SeasonState, batch_id: str) -> dict[NextDate, ShiftedDate]:
    batch, moves = state.book.batches[batch_id], moves_of(state.book, batch_id)
    if batch.crop not in state.crops or not moves:
        return {}
    alone = replace(state.book, batches={batch.id: batch}, moves={move.id: move for move in moves})
    projector = Projector.of(state)
    projection = projector.projection(projector.outlook(alone, state.now), state.now)
    dates: dict[NextDate, Ranged] = {
        NextDate.OPENS: projection.opens_h,
        NextDate.CLOSES: projection.closes_h,
    }
    return {
        ahead: ShiftedDate(ahead, float(at.low[0]), float(at.mid[0]), float(at.high[0]))
        for ahead, at in dates.items()
        if math.isfinite(at.low[0] + at.mid[0] + at.high[0])
    }
