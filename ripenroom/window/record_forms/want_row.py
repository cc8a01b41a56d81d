"""One want in the market day's form: a crop, how much of it by which unit, and the price."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.window.record_forms.crop_rows import CropChoices, SoldRow
from ripenroom.window.record_forms.sold_by import KnownSales, Sold
from ripenroom.window.wording import Wording


class WantRow(SoldRow):
    """A want's editors in a line, under the refusal key ``want_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Wording,
        want: Want | None = None,
        parent: QWidget | None = None,
        sales: KnownSales | None = None,
    ) -> None:
        self._want = want
        super().__init__(
            f"want_{number}",
            self.tr("&Wants: crop, how much, and its price in {currency}"),
            (crops, self.tr("Crop wanted")),
            (self.tr("How much is wanted"), self.tr("Price, {currency}")),
            self.tr("Remove this want"),
            words,
            parent,
            sales,
        )
        self.count = self.sold.amount
        if want is not None:
            self.crop.choose(want.crop)
            amount = float(want.count) if want.amount is None else want.amount
            price = want.price_minor if want.sold_by == "fruit" else want.unit_price_minor
            self.sold.fill(Sold(want.sold_by, amount, price, want.fruit_per_box))

    def want(self, market_day_id: str) -> Want:
        """What was typed, as a record; raises ``Refusal`` under this row's key.

        What is sold by weight or box gets its numbers of fruit when it is saved.
        """
        sold = self.sold.read(self.key)
        if sold.amount is None:
            raise Refusal(self.key, "How much is wanted? Type a number from 1 on.")
        by_fruit = sold.sold_by == "fruit"
        return Want(
            id=self._want.id if self._want is not None else new_id(),
            market_day_id=market_day_id,
            crop=self.crop_key(),
            count=round(sold.amount) if by_fruit else 1,
            price_minor=sold.unit_price_minor if by_fruit else None,
            sold_by=sold.sold_by,
            amount=None if by_fruit else sold.amount,
            unit_price_minor=None if by_fruit else sold.unit_price_minor,
            fruit_per_box=sold.fruit_per_box,
        )
