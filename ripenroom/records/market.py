"""Market days, and what each wants."""

from dataclasses import dataclass
from typing import Literal

from ripenroom.records.limits import (
    CropKey,
    EatWithinDays,
    FruitPerBox,
    Id,
    Moment,
    Name,
    Note,
    PriceMinor,
    SoldAmount,
    WantedFruit,
)

SoldBy = Literal["fruit", "kg", "lb", "box"]
"""What amounts and prices of a want or of second grade are given by."""

MarketKind = Literal["market", "festival", "farm stand", "shop order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketDay:
    """A place and time of sale; it begins at ``starts_at`` (UTC).

    ``eat_within_days`` is how soon its buyers eat the fruit, 0 being the same day; None is as
    usual for the kind of market day and the crop.
    At ``settled_at`` (UTC) it was written down what became of all that was brought.
    """

    id: Id
    name: Name
    kind: MarketKind
    starts_at: Moment
    eat_within_days: EatWithinDays | None = None
    note: Note = ""
    settled_at: Moment | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A market day wants ``count`` fruit of a crop, each at ``price_minor`` (such as cents).

    One that was given by weight or by box keeps what was typed: an ``amount`` ``sold_by`` a unit,
    each unit at ``unit_price_minor``, a box of ``fruit_per_box``. What that is in fruit stands in
    ``count`` and ``price_minor``, and follows from the season's own fruit (``amounts_sold``).
    """

    id: Id
    market_day_id: Id
    crop: CropKey
    count: WantedFruit
    price_minor: PriceMinor | None = None
    sold_by: SoldBy = "fruit"
    amount: SoldAmount | None = None
    unit_price_minor: PriceMinor | None = None
    fruit_per_box: FruitPerBox | None = None
