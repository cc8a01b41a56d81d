"""Within how many days buyers eat what they buy, and what is known of fruit in their kitchens."""

from collections.abc import Sequence

import numpy as np

from ripenroom.records.market import MarketDay, MarketKind
from ripenroom.science.eaten import KITCHEN_C, Kitchens
from ripenroom.science.gated_ageing import part_needs
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import CropConstants

_DAYS_MORE: dict[MarketKind, float] = {"farm stand": -1.0, "market": 0.0, "shop order": 1.0}
"""How much longer than at a market buyers wait, in days (estimates): who stops at a farm stand
wants fruit for today or tomorrow; in a shop it lies for a day before somebody takes it home."""


def usual_days(kind: MarketKind, crop_days: float) -> float:
    """Days within which buyers usually eat a crop that market buyers eat within ``crop_days``.

    None at a festival; at a farm stand not fewer than one, unless the crop has fewer.
    """
    if kind == "festival":
        return 0.0
    return max(crop_days + _DAYS_MORE[kind], min(crop_days, 1.0))


def days_of(day: MarketDay, crop_days: float) -> float:
    """Days within which the buyers of a market day eat a crop: as the grower says, or as usual."""
    if day.eat_within_days is None:
        return usual_days(day.kind, crop_days)
    return float(day.eat_within_days)


def all_days(days: Sequence[MarketDay], crops: Sequence[CropConstants]) -> Floats:
    """:func:`days_of` for every crop and market day, shape (crops, days)."""
    return np.array([[days_of(day, crop.buyers_days) for day in days] for crop in crops]).reshape(
        len(crops), len(days)
    )


def kitchens_of(lines: BatchColumns, crops: Sequence[CropConstants]) -> Kitchens:
    """What of lines counts in kitchens; ``crops`` are of the kinds of the lines, in their order."""
    place_of_room, kind_of_room = np.array(lines.rooms, np.intp).reshape(-1, 2).T
    clocks = [crop.gate.need.clocks for crop in crops]
    return Kitchens(
        kind=lines.kind,
        place_of_room=place_of_room,
        kind_of_room=kind_of_room,
        softening=[crop.response.relative_rate for crop in crops],
        slope_per_kj_mol=np.array(
            [float(crop.response.slope_per_kj_mol(KITCHEN_C)) for crop in crops]
        ),
        gate_parts=part_needs(np.array([crop.gate.width for crop in crops])),
        gate_per_day=[
            (low.use_per_day, mid.use_per_day, high.use_per_day) for low, mid, high in clocks
        ],
    )
