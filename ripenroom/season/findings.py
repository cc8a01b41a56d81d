"""Types for what a season shows (notices, supply, why no date); the window puts them in words."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from ripenroom.season.projection import EndCause, FloatColumn, FruitState, Projection


class NoticeKind(StrEnum):
    """Why the user should look at something today."""

    FREEZING = "freezing"
    PAST = "past"
    CLOSES = "closes"
    CHILLING = "chilling"
    HEAT = "heat"
    SHORTAGE = "shortage"
    GLUT = "glut"
    PULL = "pull"
    GATE = "gate"
    OPENS = "opens"
    UNEVEN = "uneven"
    WONT_RIPEN = "wont ripen"
    MAY_NOT_RIPEN = "may not ripen"


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to know today; ``values`` hold the numbers that its words need."""

    kind: NoticeKind
    batch_id: str | None = None
    market_day_id: str | None = None
    place_id: str | None = None
    crop: str | None = None
    when_h: float | None = None
    values: Mapping[str, float] = field(default_factory=dict)


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


class FruitSold(NamedTuple):
    """An amount in fruit, with the range that holds it four times in five."""

    fruit: float
    low: float
    high: float


class NoDate(StrEnum):
    """What keeps a batch from ever being ready as things stand."""

    WONT_RIPEN = "won't ripen"
    MAY_NOT_RIPEN = "may not ripen"
    GATE = "waits for its cold or trigger"
    CHILLING = "spoilt by cold first"
    STORAGE_LIFE = "stored too long first"
    FREEZING = "freezes first"
    TOO_COLD = "too cold to ripen"


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
