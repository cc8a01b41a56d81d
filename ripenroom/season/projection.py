"""What the science says about every batch at one moment, as columns in one immutable snapshot.

Beside it stand what is drawn and said of it: a batch over time, why one has no date, and what is
ready for market days.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from enum import IntEnum, StrEnum
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from ripenroom.texts import noted

_T = TypeVar("_T", bound=np.generic)

FloatColumn = npt.NDArray[np.float64]
IntColumn = npt.NDArray[np.int8]


_DAY_H = 24.0


class FruitState(IntEnum):
    """What most of a batch's fruit is, at the snapshot's moment."""

    WONT_RIPEN = 0
    HOLDING = 1
    READY = 2
    PAST = 3


class EndCause(IntEnum):
    """What closes the eat-by window."""

    TOO_SOFT = 0
    RIPE_LIFE = 1
    CHILLING = 2
    STORAGE_LIFE = 3
    FREEZING = 4
    NEVER_READY = 5
    """Most of the fruit was too hard to ripen at all."""


@dataclass(frozen=True, slots=True)
class Ranged:
    """A column of best estimates with the 80 % range around each."""

    low: FloatColumn
    mid: FloatColumn
    high: FloatColumn


@dataclass(frozen=True, slots=True)
class Projection:
    """One line per batch, in the order of ``batch_ids``.

    Dates are hours since 1970-01-01 00:00 UTC, ``nan`` where the thing never happens. Shares are
    of all fruit left in the batch. ``at_h`` is the moment the snapshot describes as now.
    """

    at_h: float
    batch_ids: tuple[str, ...]
    line_of: Mapping[str, int]
    left: FloatColumn  # fruit left in the batch
    first_ready_h: Ranged  # a tenth is ready
    opens_h: Ranged
    best_h: Ranged
    closes_h: Ranged
    end_cause: IntColumn  # EndCause
    ready_at_best: Ranged  # share of all fruit
    wont_ripen: FloatColumn  # share of all fruit
    chilling_used: FloatColumn  # share of the chilling allowance used up by now
    chilling_out_h: FloatColumn  # when it will be used up if nothing is moved; nan if never
    frozen_h: FloatColumn  # when it will be frozen if nothing is moved; nan if never
    state: IntColumn  # State
    uneven: npt.NDArray[np.bool_]  # never half of the fruit ready at one time
    gate_opens_h: FloatColumn  # when its cold or trigger is done; inf: never; nan: needs none
    gate_done: FloatColumn  # share of its cold or trigger done by now; nan: needs none
    gate_times: FloatColumn  # how many times its crop's usual need that is; nan: needs none
    squeeze_again_h: FloatColumn  # when to squeeze what may not ripen; inf: no day; nan: not so

    @property
    def may_ripen(self) -> npt.NDArray[np.bool_]:
        """Of which batches it is not sure enough that most fruit can never ripen."""
        return ~np.isnan(self.squeeze_again_h)

    @property
    def may_be_ready(self) -> npt.NDArray[np.bool_]:
        """Which batches that are probably not ready yet may be: the range of the day on which half
        of the fruit is has begun."""
        with np.errstate(invalid="ignore"):
            begun = self.opens_h.low <= self.at_h
        return np.asarray(begun & (self.state == FruitState.HOLDING))

    @property
    def squeezed_again_by_now(self) -> npt.NDArray[np.bool_]:
        """Which of these are to be squeezed within a day."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.squeeze_again_h < self.at_h + _DAY_H)

    @property
    def ends_unready(self) -> npt.NDArray[np.bool_]:
        """Where fruit that could ripen ends before it is ready, unless it is moved in time."""
        unready = np.isnan(self.opens_h.mid) & ~np.isnan(self.closes_h.mid)
        return np.asarray(unready & (self.state != FruitState.WONT_RIPEN))


def differ(
    one: Projection, other: Projection, lines: npt.NDArray[np.intp]
) -> npt.NDArray[np.bool_]:
    """Which of the lines have any other figure in another projection of the same batches."""
    unlike = np.zeros(lines.size, dtype=bool)
    for mine, its in zip(_columns(one), _columns(other), strict=True):
        here, there = mine[lines], its[lines]
        # Of two that never come, both nan, neither equals itself.
        unlike |= (here != there) & ((here == here) | (there == there))
    return unlike


def _columns(projection: Projection) -> Iterator[npt.NDArray[np.generic]]:
    for field in fields(Projection):
        column = getattr(projection, field.name)
        if isinstance(column, Ranged):
            yield from (column.low, column.mid, column.high)
        elif isinstance(column, np.ndarray):
            yield column


def replaced(whole: Projection, lines: npt.NDArray[np.intp], part: Projection) -> Projection:
    """A projection in which the given lines are those of ``part``, in its order."""

    def column(old: npt.NDArray[_T], new: npt.NDArray[_T]) -> npt.NDArray[_T]:
        mixed = old.copy()
        mixed[lines] = new
        return mixed

    columns: dict[str, object] = {}
    for field in fields(Projection):
        old, new = getattr(whole, field.name), getattr(part, field.name)
        if isinstance(old, Ranged):
            columns[field.name] = Ranged(
                column(old.low, new.low), column(old.mid, new.mid), column(old.high, new.high)
            )
        elif isinstance(old, np.ndarray):
            columns[field.name] = column(old, new)
    return replace(whole, **columns)  # type: ignore[arg-type]


class Verdict(StrEnum):
    """How the range of what will be ready lies about what is wanted."""

    SHORT = "short"
    TIGHT = "tight"
    ENOUGH = "enough"
    SPARE = "spare"


_PLENTY = 1.25
"""Ready at the low end of the range beyond this many times the wanted count is left over."""


@dataclass(frozen=True, slots=True)
class Supply:
    """Fruit of a crop that a market day wants, and how much is expected to be ready then.

    ``low`` to ``high`` is the 80 % range of ``ready``; all in fruit.
    """

    market_day_id: str
    crop: str
    wanted: int
    ready: float
    low: float
    high: float

    @property
    def verdict(self) -> Verdict:
        """Short or spare only where even the kind end of the range says so."""
        if self.high < self.wanted:
            return Verdict.SHORT
        if self.low < self.wanted:
            return Verdict.TIGHT
        return Verdict.SPARE if self.low > self.wanted * _PLENTY else Verdict.ENOUGH


@dataclass(frozen=True, slots=True)
class BatchStory:
    """One batch over time, for drawing: columns over ``hours`` (since the epoch, UTC).

    Firmness (newtons) is that of the middle fruit, with its 80 % range; shares are of all fruit
    left. ``air_c`` and ``pulp_c`` are the temperatures that it met or will meet.
    """

    batch_id: str
    hours: FloatColumn
    firmness_low_n: FloatColumn
    firmness_n: FloatColumn
    firmness_high_n: FloatColumn
    ready_low: FloatColumn
    ready: FloatColumn
    ready_high: FloatColumn
    past: FloatColumn
    air_c: FloatColumn
    pulp_c: FloatColumn


class NoDate(StrEnum):
    """What keeps a batch from ever being ready as things stand."""

    WONT_RIPEN = noted("won't ripen")
    MAY_NOT_RIPEN = noted("may not ripen")
    GATE = noted("waits for its cold or trigger")
    CHILLING = noted("spoilt by cold first")
    STORAGE_LIFE = noted("stored too long first")
    FREEZING = noted("freezes first")
    TOO_COLD = noted("too cold to ripen")


_ENDED = {
    EndCause.CHILLING: NoDate.CHILLING,
    EndCause.STORAGE_LIFE: NoDate.STORAGE_LIFE,
    EndCause.FREEZING: NoDate.FREEZING,
}


def no_date(projection: Projection, line: int) -> NoDate | None:
    """Why a batch never opens; None where it does."""
    if projection.state[line] == FruitState.WONT_RIPEN:
        return NoDate.MAY_NOT_RIPEN if projection.may_ripen[line] else NoDate.WONT_RIPEN
    if not math.isnan(projection.opens_h.mid[line]):
        return None
    cause = EndCause(int(projection.end_cause[line]))
    ended = not math.isnan(projection.closes_h.mid[line])
    if ended and cause is EndCause.FREEZING:
        return NoDate.FREEZING
    if math.isinf(projection.gate_opens_h[line]):
        return NoDate.GATE
    return _ENDED.get(cause, NoDate.TOO_COLD) if ended else NoDate.TOO_COLD
