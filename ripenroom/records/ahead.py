"""What the season has still to bring: picks that are expected, and who takes second grade."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Feel = Literal["hard", "slight give", "gives", "soft", "too soft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPick:
    """On a day ahead ``count`` fruit are expected from the trees, of one feel, into a place."""

    id: str
    crop: str
    on: date
    count: int
    place_id: str
    feel: Feel = "slight give"
    cultivar_id: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondGrade:
    """Ripe fruit of a crop that no market day takes, even if just past, is worth ``price_minor``.

    That is for pulp, drying or freezing, so many ``fruit_per_day`` at most (None: any number).
    """

    id: str
    crop: str
    price_minor: int
    fruit_per_day: int | None = None
