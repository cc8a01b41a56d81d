"""What the grower has decided already, and the plan has to keep to."""

from dataclasses import dataclass

from ripenroom.records.limits import Crates, Id, Moment


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """So many ``crates`` of a batch go this way, whatever else a plan would do with them.

    At ``pull_at`` (UTC) they are moved to ``place_id``; both None: they wait where they are, or
    where moves that are written down bring them. Without a ``market_day_id`` they are kept from
    every market day. Once ``packed_at`` (UTC) they stand packed for it.
    """

    id: Id
    batch_id: Id
    crates: Crates
    pull_at: Moment | None = None
    place_id: Id | None = None
    market_day_id: Id | None = None
    packed_at: Moment | None = None
