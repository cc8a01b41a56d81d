"""How many fruit and crates a batch is, also where it was weighed, and how much of it is left."""

import math
from collections.abc import Mapping
from datetime import datetime

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal


def fruit_mass_kg(profile: CropProfile) -> float:
    """Mass (kg) of the crop's usual fruit."""
    return profile.fruit_mass_g.value / 1000.0


def fruit_picked(batch: Batch, usual_mass_kg: float) -> float:
    """Fruit in a batch as picked: the count, or the weight over the mass of a usual fruit (kg)."""
    if batch.count is not None:
        return float(batch.count)
    return (batch.weight_kg or 0.0) / usual_mass_kg


LEAST_FRUIT = 0.5
"""A batch with less left than this has none; what was weighed need not come out at whole fruit."""


def picked_fruit(crops: Mapping[str, CropProfile], batch: Batch) -> float:
    """Fruit in a batch as picked; refuse one that was weighed of a crop that nobody knows."""
    if batch.count is not None:
        return float(batch.count)
    if batch.crop not in crops:
        raise Refusal(
            "count",
            "{code} was weighed, not counted, and this season has no crop “{crop}” to say "
            "what one fruit weighs.",
            code=batch.code,
            crop=batch.crop,
        )
    return fruit_picked(batch, fruit_mass_kg(crops[batch.crop]))


def fruit_left(
    book: Book, crops: Mapping[str, CropProfile], batch: Batch, by: datetime | None = None
) -> float:
    """Fruit left in a batch, of all that was written down or of what had left it ``by`` then."""
    gone = sum(
        removal.count
        for removal in book.removals.values()
        if removal.batch_id == batch.id and (by is None or removal.at < by)
    )
    return max(0.0, picked_fruit(crops, batch) - gone)


def whole_fruit(fruit: float) -> int:
    """Fruit as they are counted: a batch that was weighed may hold a part of one more."""
    return max(0, math.ceil(fruit - 1e-9))


def fruit_per_crate(crops: Mapping[str, CropProfile], batch: Batch) -> float:
    """Fruit that fill a crate; refuse a batch of a crop that nobody knows."""
    if batch.crop not in crops:
        raise Refusal(
            "batch_id",
            "This season has no crop “{crop}”, so {code} is not in the plan.",
            crop=batch.crop,
            code=batch.code,
        )
    return crops[batch.crop].fruit_per_crate.value


def crates_of(fruit: float, per_crate: float) -> int:
    """Crates that so many fruit stand in, the last perhaps not full."""
    return 0 if fruit < LEAST_FRUIT else math.ceil(fruit / per_crate - 1e-9)


def fruit_in(crates: int, fruit: float, per_crate: float) -> float:
    """Fruit in some of the crates that ``fruit`` stand in: as a plan has it, all of them hold alike
    many, so that it does not matter which are taken."""
    of = crates_of(fruit, per_crate)
    return fruit if crates >= of else fruit * crates / of


def crates_left(book: Book, crops: Mapping[str, CropProfile], batch: Batch) -> int:
    """Crates of a batch that are left; refuse one that has none."""
    crates = crates_of(fruit_left(book, crops, batch), fruit_per_crate(crops, batch))
    if not crates:
        raise Refusal("batch_id", "{code} has no fruit left.", code=batch.code)
    return crates


def packed_fruit(
    book: Book, crops: Mapping[str, CropProfile], batch: Batch, left: float
) -> dict[str, float]:
    """Fruit, of the ``left`` of a batch, that stand packed, by the id of the market day."""
    found: dict[str, float] = {}
    whole = left
    for pin in book.pins.values():
        if pin.batch_id == batch.id and pin.packed_at is not None and pin.market_day_id is not None:
            fruit = min(left, fruit_in(pin.crates, whole, fruit_per_crate(crops, batch)))
            found[pin.market_day_id] = found.get(pin.market_day_id, 0.0) + fruit
            left -= fruit
    return found
