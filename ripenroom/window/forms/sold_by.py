"""An amount and a price by fruit, by weight or by box, in a line of a form."""

from collections.abc import Callable
from typing import NamedTuple, cast

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from ripenroom.records.market import SecondGrade, SoldBy, Want
from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts import FruitSold
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.window.widgets.amount import AmountLine, parse_amount, unit_name
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, shown_price, typed_price
from ripenroom.wording.formats import Formats

InFruit = Callable[[str, SoldBy, float, int | None], FruitSold | None]
"""What an amount of a crop is in fruit, None where nobody knows; the last is the fruit in a box."""


class Sold(NamedTuple):
    """What was typed: an amount (None: none was), the price of one unit, the fruit in a box."""

    sold_by: SoldBy
    amount: float | None
    unit_price_minor: int | None
    fruit_per_box: int | None

    @property
    def fruit(self) -> int | None:
        """The amount where it is in fruit."""
        return None if self.amount is None else round(self.amount)


class KnownSales(NamedTuple):
    """What a season knows of its sales: fruit in a box of a crop, and amounts in fruit."""

    box_of: Callable[[str], int | None]
    in_fruit: InFruit

    @classmethod
    def of(cls, season: Season) -> "KnownSales":
        """Of an open season; the box that was given last for a crop is the one that is known."""

        def box_of(crop: str) -> int | None:
            sold: list[Want | SecondGrade] = [*season.book.wants.values()]
            sold += season.book.second_grades.values()
            boxes = [one.fruit_per_box for one in sold if one.crop == crop and one.fruit_per_box]
            return boxes[-1] if boxes else None

        return cls(box_of, lambda *amount: season.ask.fruit_sold(*amount))


class SoldByEditors(QObject):
    """Amount, unit, price and fruit per box; the last is shown for boxes only.

    A unit that is typed behind the amount (``"30 lb"``) is taken as the unit. How many fruit a box
    holds is asked once: ``known_box`` gives what was said of the crop before.
    """

    changed = Signal()

    def __init__(
        self, words: Formats, known_box: Callable[[], int | None], in_fruit: InFruit
    ) -> None:
        super().__init__()
        self._words, self._known_box, self._in_fruit = words, known_box, in_fruit
        self.amount = AmountLine(words)
        self.unit = RecordChoice(4)
        own = words.mass_unit
        other = "kg" if own == "lb" else "lb"
        offered = ("fruit", own, "box", other)
        self.unit.set_choices([(unit, unit_name(cast(SoldBy, unit))) for unit in offered])
        self.price = TypedLine(8)
        self.per_box = AmountLine(words, 4, tr("in a box"))
        self.amount.textEdited.connect(self._on_amount)
        self.unit.currentIndexChanged.connect(self._on_unit)
        for line in (self.price, self.per_box):
            line.textEdited.connect(self.changed)
        self._on_unit()

    @property
    def sold_by(self) -> SoldBy:
        """The unit."""
        return cast(SoldBy, self.unit.value())

    def fill(self, sold: Sold) -> None:
        """Show what was typed before."""
        words = self._words
        self.unit.choose(sold.sold_by)
        self.amount.show_amount(sold.amount)
        if sold.unit_price_minor is not None:
            self.price.setText(shown_price(sold.unit_price_minor, words))
        self.per_box.show_amount(sold.fruit_per_box)
        self.changed.emit()

    @property
    def parts(self) -> dict[str, QWidget]:
        """Its lines, as a refusal names them behind the field's name."""
        return {"amount": self.amount, "price": self.price, "per_box": self.per_box}

    def read(self, field: str) -> Sold:
        """What is typed; raises ``Refusal`` of a part of ``field`` for what cannot be read."""
        words = self._words
        price = typed_price(self.price, words, f"{field}.price")
        amount = self.amount.amount(f"{field}.amount", self.sold_by)
        return Sold(self.sold_by, amount, price, self._per_box(f"{field}.per_box"))

    def texts(self) -> tuple[str, ...]:
        """What stands in it, to see whether it was changed."""
        lines = (self.amount, self.price, self.per_box)
        return (self.sold_by, *(line.text() for line in lines))

    def in_fruit(self, crop: str) -> str:
        """``"about 91 fruit (70–120)"``; empty where it is fruit, or cannot be read."""
        words = self._words
        try:
            sold = self.read("")
        except Refusal:
            return ""
        if sold.sold_by == "fruit" or sold.amount is None:
            return ""
        found = self._in_fruit(crop, sold.sold_by, sold.amount, sold.fruit_per_box)
        if found is None:
            return ""
        if sold.sold_by == "box":
            # Says which of two numbers is which, once both stand in their fields.
            fruit = tr("{fruit} fruit, {count} in a box").format(
                fruit=words.number(found.fruit), count=words.number(sold.fruit_per_box or 0)
            )
            if sold.unit_price_minor is None:
                return fruit
            price = words.money(sold.unit_price_minor)
            return tr("{fruit}, {price} a box").format(fruit=fruit, price=price)
        return tr("about {fruit} fruit ({range})").format(
            fruit=words.number(found.fruit), range=words.number_range(found.low, found.high)
        )

    def _per_box(self, field: str) -> int | None:
        if self.sold_by != "box":
            return None
        count = self.per_box.count(field)
        if count is None or count < 1:
            raise Refusal(field, "How many fruit are in a box? Type a whole number from 1 on.")
        return count

    def _on_amount(self, text: str) -> None:
        typed = parse_amount(text, self._words)
        if typed is not None and typed.unit is not None:
            self.unit.choose(typed.unit)
        self.changed.emit()

    def _on_unit(self) -> None:
        boxed = self.sold_by == "box"
        self.per_box.setVisible(boxed)
        known = self._known_box() if boxed and not self.per_box.text() else None
        if known is not None:
            self.per_box.show_amount(known)
        each = {
            "fruit": tr("price each"),
            "box": tr("price a box"),
        }.get(self.sold_by)
        text = each or tr("price a {unit}").format(unit=self.sold_by)
        self.price.setPlaceholderText(text)
        self.changed.emit()
