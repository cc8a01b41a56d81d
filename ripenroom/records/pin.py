"""What the grower has decided already, and the plan has to keep to."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """So many ``crates`` of a batch go this way, whatever else a plan would do with them.

    At ``pull_at`` (UTC) they are moved to ``place_id``; both None: they wait where they are, or
    where moves that are written down bring them. Without a ``market_day_id`` they are kept from
    every market day. Once ``packed_at`` (UTC) they stand packed for it.
    """

    id: str
    batch_id: str
    crates: int
    pull_at: datetime | None = None
    place_id: str | None = None
    market_day_id: str | None = None
    packed_at: datetime | None = None
