"""Market days, and what each wants."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

MarketKind = Literal["market", "festival", "farm stand", "shop order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketDay:
    """A place and time of sale; it begins at ``starts_at`` (UTC).

    ``eat_within_days`` is how soon its buyers eat the fruit, 0 being the same day; None is as
    usual for the kind of market day and the crop.
    At ``settled_at`` (UTC) it was written down what became of all that was brought.
    """

    id: str
    name: str
    kind: MarketKind
    starts_at: datetime
    eat_within_days: int | None = None
    note: str = ""
    settled_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A market day wants ``count`` fruit of a crop, each at ``price_minor`` (such as cents)."""

    id: str
    market_day_id: str
    crop: str
    count: int
    price_minor: int | None = None
