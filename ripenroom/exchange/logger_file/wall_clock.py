"""From what a logger's clock showed to UTC, over the nights on which clocks are changed."""

from datetime import UTC, datetime, tzinfo
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ripenroom.records.temperature_series import Seconds

_DAY_S = 86_400


class InUtc(NamedTuple):
    """Seconds of UTC, which times the clock change skips, and whether an hour was read twice."""

    times_s: Seconds
    skipped: npt.NDArray[np.bool_]
    repeated: bool


def offset_s(at_s: int, zone: tzinfo) -> int:
    """Seconds that a zone's clocks are ahead of UTC at a time (s)."""
    ahead = datetime.fromtimestamp(at_s, UTC).astimezone(zone).utcoffset()
    assert ahead is not None
    return round(ahead.total_seconds())


def winter_offset_s(at_s: int, zone: tzinfo) -> int:
    """Seconds that a zone's clocks are ahead of UTC without summer time, in the year of a time."""
    year = datetime.fromtimestamp(at_s, UTC).year
    return min(
        offset_s(round(datetime(year, month, 1, tzinfo=UTC).timestamp()), zone) for month in (1, 7)
    )


def utc_of_wall(wall_s: Seconds, zone: tzinfo) -> InUtc:
    """UTC of wall-clock times in the order in which they were written.

    Of an hour that comes twice, the first pass is taken for the earlier one: it ends where the
    clock goes back. Times that clocks skip are told, as if they had not been put forward yet.
    """
    if not wall_s.size:
        return InUtc(wall_s, np.zeros(0, bool), False)
    if wall_s[-1] < wall_s[0]:
        turned = utc_of_wall(wall_s[::-1], zone)
        return InUtc(turned.times_s[::-1], turned.skipped[::-1], turned.repeated)
    changes, offsets = _changes(int(wall_s.min()), int(wall_s.max()), zone)
    sure = changes + np.maximum(offsets[:-1], offsets[1:])
    passed = np.searchsorted(sure, wall_s, side="right")
    ahead = offsets[passed]
    skipped = np.zeros(wall_s.size, bool)
    repeated = False
    for number, change in enumerate(changes.tolist()):
        before, after = int(offsets[number]), int(offsets[number + 1])
        begins = change + min(before, after)
        within = np.flatnonzero((passed == number) & (wall_s >= begins))
        if after > before:
            skipped[within] = True
        elif within.size:
            second = _second_pass(wall_s[within])
            ahead[within[second:]] = after
            repeated |= second < within.size
    return InUtc(wall_s - ahead, skipped, repeated)


def _second_pass(wall_s: Seconds) -> int:
    """Where in the readings of a doubled hour the clock goes back; their number if it does not."""
    steps = np.diff(wall_s)
    for back in (np.flatnonzero(steps < 0), np.flatnonzero(steps == 0)):
        if back.size:
            return int(back[0]) + 1
    return int(wall_s.size)


def _changes(first_s: int, last_s: int, zone: tzinfo) -> tuple[Seconds, Seconds]:
    """Times (UTC s) of the clock changes around a span, and the offsets before, between, after."""
    days = range(first_s - 2 * _DAY_S, last_s + 3 * _DAY_S, _DAY_S)
    ahead = [offset_s(day, zone) for day in days]
    changes, offsets = [], [ahead[0]]
    for day, before, after in zip(days, ahead[:-1], ahead[1:], strict=False):
        if before != after:
            low, high = day, day + _DAY_S
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if offset_s(middle, zone) == before else (low, middle)
            changes.append(high)
            offsets.append(after)
    return np.array(changes, np.int64), np.array(offsets, np.int64)
