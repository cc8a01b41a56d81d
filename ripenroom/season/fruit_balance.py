"""What became of a season's fruit, and what it earned: by crop, cultivar and row of trees."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ripenroom.records.batch import Batch, Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked

_LEAST_SOLD = 30
"""Of less fruit than this, one good or bad market day decides: too little to compare."""

_MOST_UNPRICED = 0.2
"""Where more of the fruit sold has no price, the money says little."""


@dataclass(frozen=True, slots=True)
class FruitTally:
    """Fruit, in numbers; of batches that were weighed, estimates.

    ``sold`` is first grade, ``second`` what went for pulp or freezing, ``thrown`` what was
    discarded, ``left`` what is still there. ``money_minor`` (such as cents) is what was earned with
    the fruit whose price is known; ``unpriced`` fruit were sold at a price that nobody noted.
    """

    batches: int = 0
    picked: float = 0.0
    sold: float = 0.0
    second: float = 0.0
    thrown: float = 0.0
    money_minor: int = 0
    unpriced: float = 0.0

    @property
    def left(self) -> float:
        """Fruit that is still there."""
        return max(0.0, self.picked - self.sold - self.second - self.thrown)

    @property
    def too_little(self) -> bool:
        """Whether it is too early to compare this with others."""
        return self.sold + self.second < _LEAST_SOLD

    @property
    def money_is_known(self) -> bool:
        """Whether nearly all that was sold has a price."""
        return self.unpriced <= _MOST_UNPRICED * (self.sold + self.second)

    def plus(self, other: "FruitTally") -> "FruitTally":
        """The sum of two tallies."""
        return FruitTally(
            *(
                getattr(self, name) + getattr(other, name)
                for name in FruitTally.__dataclass_fields__
            )
        )


@dataclass(frozen=True, slots=True)
class BalanceRow:
    """What became of the fruit of one crop, cultivar or row; ``trees`` where they were counted."""

    crop: str
    key: str | None  # of the cultivar or row; None: not noted
    tally: FruitTally
    trees: int | None = None

    @property
    def money_per_tree_minor(self) -> float | None:
        """What a tree earned; None where trees or prices are not known, or too little was sold."""
        if not self.trees or self.tally.too_little or not self.tally.money_is_known:
            return None
        return self.tally.money_minor / self.trees

    @property
    def sold_per_tree(self) -> float | None:
        """Fruit sold of a tree, second grade too; None where its trees were not counted."""
        if not self.trees or self.tally.too_little:
            return None
        return (self.tally.sold + self.tally.second) / self.trees


@dataclass(frozen=True, slots=True)
class Balance:
    """The season so far. Lines by crop, then by what they earned, most first."""

    whole: FruitTally
    crops: tuple[BalanceRow, ...]
    cultivars: tuple[BalanceRow, ...]
    rows: tuple[BalanceRow, ...]


def balance(book: Book, crops: Mapping[str, CropProfile]) -> Balance:
    """What became of all fruit; one pass over the batches and one over what left them."""
    tallies = {
        batch.id: FruitTally(batches=1, picked=_picked(batch, crops))
        for batch in book.batches.values()
    }
    prices = {(w.market_day_id, w.crop): w.price_minor for w in book.wants.values()}
    pulp = {grade.crop: grade.price_minor for grade in book.second_grades.values()}
    for removal in book.removals.values():
        batch = book.batches.get(removal.batch_id)
        if batch is not None:
            gone = _tally_of(removal, batch.crop, prices, pulp)
            tallies[batch.id] = tallies[batch.id].plus(gone)
    whole = FruitTally()
    for tally in tallies.values():
        whole = whole.plus(tally)
    return Balance(
        whole,
        _lines(book, tallies, lambda batch: None),
        _lines(book, tallies, lambda batch: batch.cultivar_id, _trees_of_cultivars(book)),
        _lines(
            book,
            tallies,
            lambda batch: batch.row_id,
            {row.id: row.trees for row in book.rows.values()},
        ),
    )


def _trees_of_cultivars(book: Book) -> dict[str, int | None]:
    """Trees of each cultivar; one row that was not counted leaves them unknown."""
    trees: dict[str, int | None] = {}
    for row in book.rows.values():
        if row.cultivar_id is not None:
            known = trees.get(row.cultivar_id, 0)
            counted = row.trees is not None and known is not None
            trees[row.cultivar_id] = (known or 0) + (row.trees or 0) if counted else None
    return trees


def _picked(batch: Batch, crops: Mapping[str, CropProfile]) -> float:
    if batch.count is not None:
        return float(batch.count)
    crop = crops.get(batch.crop)
    return fruit_picked(batch, fruit_mass_kg(crop)) if crop is not None else 0.0


def _tally_of(
    removal: Removal,
    crop: str,
    prices: Mapping[tuple[str, str], int | None],
    pulp: Mapping[str, int],
) -> FruitTally:
    count = float(removal.count)
    if removal.outcome == "discarded":
        return FruitTally(thrown=count)
    price = removal.price_minor
    if price is None:
        price = (
            pulp.get(crop)
            if removal.grade == "second"
            else prices.get((removal.market_day_id or "", crop))
        )
    sold = FruitTally(sold=count) if removal.grade == "first" else FruitTally(second=count)
    if price is None:
        return replace(sold, unpriced=count)
    return replace(sold, money_minor=price * removal.count)


def _lines(
    book: Book,
    tallies: Mapping[str, FruitTally],
    key: Callable[[Batch], str | None],
    trees: Mapping[str, int | None] | None = None,
) -> tuple[BalanceRow, ...]:
    found: dict[tuple[str, str | None], FruitTally] = {}
    for batch in book.batches.values():
        of = (batch.crop, key(batch))
        found[of] = found.get(of, FruitTally()).plus(tallies[batch.id])
    lines = (
        BalanceRow(crop, of, tally, (trees or {}).get(of or "") or None)
        for (crop, of), tally in found.items()
    )
    return tuple(sorted(lines, key=lambda line: (line.crop, -line.tally.money_minor)))
