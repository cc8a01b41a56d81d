"""Which batches to squeeze today, so that the plan gains most from knowing."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class CheckReason(StrEnum):
    """What the check decides."""

    WHEN = "when to move it"
    WHERE = "on which market day to sell it"
    WHETHER = "whether it is worth bringing"


@dataclass(frozen=True, slots=True)
class CheckNext:
    """Squeeze ``fruit`` fruit of a batch today.

    ``gain_minor`` (minor units of the currency) is about what the plan is expected to gain from
    it. ``decides_at`` is the next move or market day that hangs on it, and ``market_day_id`` the
    market day that is planned for most of the batch now (None: none).
    """

    batch_id: str
    fruit: int
    gain_minor: float
    reason: CheckReason
    decides_at: datetime | None
    market_day_id: str | None
