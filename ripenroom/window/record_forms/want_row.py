"""One want in the market day's form: a crop, how many fruit, and the price of each."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.typed_amounts import shown_price, typed_price, whole_number
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.record_forms.crop_rows import CropChoices, CropRow
from ripenroom.window.wording import Wording


class WantRow(CropRow):
    """A want's editors in a line, under the refusal key ``want_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Wording,
        want: Want | None = None,
        parent: QWidget | None = None,
    ) -> None:
        self._want = want
        self.count = TypedLine(6, self.tr("fruit"))
        self.price = TypedLine(6, self.tr("price"))
        super().__init__(
            f"want_{number}",
            self.tr("&Wants: crop, fruit, price each in {currency}"),
            (crops, self.tr("Crop wanted")),
            (
                (self.count, self.tr("Fruit wanted")),
                (self.price, self.tr("Price of one fruit, {currency}")),
            ),
            self.tr("Remove this want"),
            words,
            parent,
        )
        if want is not None:
            self.crop.choose(want.crop)
            self.count.setText(words.number(want.count))
            if want.price_minor is not None:
                self.price.setText(shown_price(want.price_minor, words))

    def want(self, market_day_id: str) -> Want:
        """What was typed, as a record; raises ``Refusal`` under this row's key."""
        return Want(
            id=self._want.id if self._want is not None else new_id(),
            market_day_id=market_day_id,
            crop=self.crop_key(),
            count=self._count(),
            price_minor=self._price_minor(),
        )

    def _count(self) -> int:
        text = self.count.text().strip()
        value = whole_number(text, self._words)
        if value is None or value < 1:
            raise Refusal(
                self.key, "Fruit wanted: type a whole number from 1 on, not “{typed}”.", typed=text
            )
        return value

    def _price_minor(self) -> int | None:
        return typed_price(self.price, self._words, self.key)
