"""How many fruit a batch is, how many crates, how much of it is left, and what sold amounts are.

A batch may be weighed instead of counted, and fruit may be sold by weight or by box: then it is
reckoned in fruit by what a fruit weighs here, the crop's figure moved by the season's own batches.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import SecondGrade, SoldBy, Want
from ripenroom.records.refusal import Refusal
from ripenroom.science.fruit_mass import FruitMass, batch_mass_kg, fruit_mass
from ripenroom.science.softening import Floats
from ripenroom.units import KILOGRAMS_PER


class FruitSold(NamedTuple):
    """An amount in fruit, with the range that holds it four times in five."""

    fruit: float
    low: float
    high: float


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


def mass_of(book: Book, profile: CropProfile) -> FruitMass:
    """What a fruit of a crop weighs here: its figure, and batches that were counted and weighed."""
    figure = profile.fruit_mass_g
    weighed = [
        (batch.count, batch.weight_kg)
        for batch in book.batches.values()
        if batch.crop == profile.key and batch.count and batch.weight_kg
    ]
    count, weight_kg = np.array(weighed, dtype=float).reshape(-1, 2).T
    known = FruitMass(figure.value / 1000.0, figure.low / 1000.0, figure.high / 1000.0)
    return fruit_mass(known, count, weight_kg)


def sizes_of(book: Book, crops: Mapping[str, CropProfile], batch_ids: Sequence[str]) -> Floats:
    """How heavy a fruit of each batch is, the crop's usual being 1: by what the batch weighed, else
    by its row; 1 where neither is known, and for picks that are expected."""
    usual_kg: dict[str, float] = {}
    sizes = np.ones(len(batch_ids))
    for n, batch_id in enumerate(batch_ids):
        batch = book.batches.get(batch_id)
        row = book.rows.get(batch.row_id or "") if batch is not None else None
        row_g = row.fruit_mass_g if row is not None else None
        if batch is None or not (batch.weight_kg or row_g):
            continue
        if batch.crop not in usual_kg:
            usual_kg[batch.crop] = mass_of(book, crops[batch.crop]).usual_kg
        usual = usual_kg[batch.crop]
        likely = usual if row_g is None else row_g / 1000.0
        known = batch_mass_kg(likely, batch.count or 0, batch.weight_kg or 0.0)
        sizes[n] = known / usual
    return sizes


def fruit_per_unit(sold_by: SoldBy, fruit_per_box: int | None, mass_kg: float) -> float:
    """How many fruit of a mass (kg) one unit is; of a box what was said of it."""
    if sold_by == "kg" or sold_by == "lb":
        return KILOGRAMS_PER[sold_by] / mass_kg
    return float(fruit_per_box or 1) if sold_by == "box" else 1.0


def fruit_sold(
    book: Book, profile: CropProfile, sold_by: SoldBy, amount: float, fruit_per_box: int | None
) -> FruitSold:
    """What an amount of a crop is in fruit; heavier fruit are fewer."""
    mass = mass_of(book, profile)
    many, high, low = (amount * fruit_per_unit(sold_by, fruit_per_box, kg) for kg in mass)
    return FruitSold(many, low, high)


def recounted(book: Book, crops: Mapping[str, CropProfile]) -> Iterable[Record]:
    """Wants and second grade whose numbers of fruit no longer follow from what was typed.

    Those of market days that are over stay as they were, and so do those of an unknown crop.
    """
    masses: dict[str, float] = {}

    def fruit_of(sold: Want | SecondGrade) -> float:
        if sold.crop not in masses:
            masses[sold.crop] = mass_of(book, crops[sold.crop]).usual_kg
        return fruit_per_unit(sold.sold_by, sold.fruit_per_box, masses[sold.crop])

    for want in book.wants.values():
        day = book.market_days.get(want.market_day_id)
        if want.sold_by != "fruit" and want.crop in crops and day and day.settled_at is None:
            yield from _if_other(want, _want_in_fruit(want, fruit_of(want)))
    for grade in book.second_grades.values():
        if grade.sold_by != "fruit" and grade.crop in crops:
            yield from _if_other(grade, _grade_in_fruit(grade, fruit_of(grade)))


def _if_other(before: Record, after: Record) -> Iterable[Record]:
    return () if after == before else (after,)


def _want_in_fruit(want: Want, fruit: float) -> Want:
    count = max(1, round((want.amount or 0.0) * fruit))
    return replace(want, count=count, price_minor=_each(want.unit_price_minor, fruit))


def _grade_in_fruit(grade: SecondGrade, fruit: float) -> SecondGrade:
    amount = grade.amount_per_day
    return replace(
        grade,
        fruit_per_day=None if amount is None else max(1, round(amount * fruit)),
        price_minor=_each(grade.unit_price_minor, fruit) or 0,
    )


def _each(unit_price_minor: int | None, fruit: float) -> int | None:
    return None if unit_price_minor is None else round(unit_price_minor / fruit)
