"""What is sold by weight or by box, in fruit: by what the season's own fruit weigh."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from ripenroom.records.book import Book, Record
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import SecondGrade, SoldBy, Want
from ripenroom.science.fruit_mass import FruitMass, batch_mass_kg, fruit_mass
from ripenroom.science.softening import Floats
from ripenroom.season.findings import FruitSold
from ripenroom.units import KILOGRAMS_PER


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


def followed(book: Book, crops: Mapping[str, CropProfile]) -> Iterable[Record]:
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
