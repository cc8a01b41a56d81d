"""What a leaflet says of fruit: the usual course at what the dials show, without any doubt.

It knows the middle of what the truth is drawn from, and nothing of a season's own.
"""

from tests.benchmarks.season.truth.fruit import READY_STAGE
from tests.benchmarks.season.truth.store import Lot
from tests.benchmarks.season.truth.year import ROOMS

_STAGE_AT_PICK, _Q10, _RIPE_LIFE_DAYS, _LIFE_Q10 = 1.5, 5.0, 2.5, 1.65
_READY_DAYS = READY_STAGE - _STAGE_AT_PICK
"""Days at 20 C from the pick until ready."""


def _per_day(q10: float, room: int) -> float:
    return float(q10 ** ((ROOMS[room].dial_c - 20.0) / 10.0))


def ready_h(lot: Lot, moved_h: float | None = None, room: int = 0) -> float:
    """When a lot is ready, if it stays, or is moved to a place at a time ahead."""
    been = lot.been if moved_h is None else [*lot.been, (moved_h, room)]
    left = _READY_DAYS
    for (begin, where), (end, _) in zip(been, [*been[1:], (float("inf"), 0)], strict=True):
        gained = _per_day(_Q10, where)
        if left <= gained * (end - begin) / 24.0:
            return begin + 24.0 * left / gained
        left -= gained * (end - begin) / 24.0
    raise AssertionError("Fruit gets ready in the end.")


def closes_h(lot: Lot) -> float:
    """When a lot is past, if it stays where it is."""
    return ready_h(lot) + 24.0 * _RIPE_LIFE_DAYS / _per_day(_LIFE_Q10, lot.room)
