"""Why a batch has no date on which it is good: a reason stands where a date is missing."""

import math
from enum import StrEnum

from ripenroom.season.projection import EndCause, Projection, State


class NoDate(StrEnum):
    """What keeps a batch from ever being ready as things stand."""

    WONT_RIPEN = "won't ripen"
    GATE = "waits for its cold or trigger"
    CHILLING = "spoilt by cold first"
    STORAGE_LIFE = "stored too long first"
    FROST = "freezes first"
    TOO_COLD = "too cold to ripen"


_ENDED = {
    EndCause.CHILLING: NoDate.CHILLING,
    EndCause.STORAGE_LIFE: NoDate.STORAGE_LIFE,
    EndCause.FROST: NoDate.FROST,
}


def no_date(projection: Projection, line: int) -> NoDate | None:
    """Why a batch never opens; None where it does."""
    if projection.state[line] == State.WONT_RIPEN:
        return NoDate.WONT_RIPEN
    if not math.isnan(projection.opens_h.mid[line]):
        return None
    cause = EndCause(int(projection.end_cause[line]))
    ended = not math.isnan(projection.closes_h.mid[line])
    if ended and cause is EndCause.FROST:
        return NoDate.FROST
    if math.isinf(projection.gate_opens_h[line]):
        return NoDate.GATE
    return _ENDED.get(cause, NoDate.TOO_COLD) if ended else NoDate.TOO_COLD
