"""What the season has still to bring: picks that are expected, and who takes second grade."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.limits import (
    CropKey,
    ExpectedFruit,
    FruitPerDay,
    Id,
    Note,
    PriceMinor,
)

Feel = Literal["hard", "slight give", "gives", "soft", "too soft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPick:
    """On a day ahead ``count`` fruit are expected from the trees, of one feel, into a place."""

    id: Id
    crop: CropKey
    on: date
    count: ExpectedFruit
    place_id: Id
    feel: Feel = "slight give"
    cultivar_id: Id | None = None
    note: Note = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondGrade:
    """Ripe fruit of a crop that no market day takes, even if just past, is worth ``price_minor``.

    That is for pulp, drying or freezing, so many ``fruit_per_day`` at most (None: any number).
    """

    id: Id
    crop: CropKey
    price_minor: PriceMinor
    fruit_per_day: FruitPerDay | None = None
