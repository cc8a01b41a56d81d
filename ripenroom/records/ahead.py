"""What the season has still to bring: picks that are expected, and who takes second grade."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.limits import (
    CropKey,
    ExpectedFruit,
    FruitPerBox,
    FruitPerDay,
    Id,
    Note,
    PriceMinor,
    SoldAmount,
)
from ripenroom.records.market import SoldBy

Feel = Literal["hard", "slight give", "gives", "soft", "too soft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPick:
    """On a day ahead ``count`` fruit are expected from the trees, of one feel, into a place.

    A count of 0 says that nothing more of the crop, or of its cultivar, comes from that day on but
    what is expected by other records. It holds until something is picked on a later day.
    """

    id: Id
    crop: CropKey
    on: date
    count: ExpectedFruit
    place_id: Id
    feel: Feel = "slight give"
    cultivar_id: Id | None = None
    note: Note = ""

    @property
    def nothing_more(self) -> bool:
        """Whether it says that nothing more comes."""
        return self.count == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondGrade:
    """Ripe fruit of a crop that no market day takes, even if just past, is worth ``price_minor``.

    That is for pulp, drying or freezing, so many ``fruit_per_day`` at most (None: any number).
    Given by weight or by box, it keeps what was typed, as a :class:`~.market.Want` does.
    """

    id: Id
    crop: CropKey
    price_minor: PriceMinor
    fruit_per_day: FruitPerDay | None = None
    sold_by: SoldBy = "fruit"
    amount_per_day: SoldAmount | None = None
    unit_price_minor: PriceMinor | None = None
    fruit_per_box: FruitPerBox | None = None
