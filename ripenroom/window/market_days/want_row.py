"""One want in the market day's form: a crop, how many fruit, and the price of each."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.typed_amounts import shown_price, typed_price, whole_number
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.wording import Wording


class WantRow(Field):
    """A want's editors in a line, under the refusal key ``want_<number>``."""

    removeAsked = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(
        self,
        number: int,
        crops: Sequence[tuple[str, str]],
        words: Wording,
        want: Want | None = None,
        parent: QWidget | None = None,
    ) -> None:
        self.key = f"want_{number}"
        self._words = words
        self._want = want
        self.crop = Choices(9)
        self.crop.set_choices(crops)
        self.count = TypedLine(6, self.tr("fruit"))
        self.price = TypedLine(6, self.tr("price"))
        self.remove = QPushButton("×")
        for widget, name in (
            (self.crop, self.tr("Crop wanted")),
            (self.count, self.tr("Fruit wanted")),
            (self.price, self.tr("Price of one fruit, {currency}")),
            (self.remove, self.tr("Remove this want")),
        ):
            widget.setAccessibleName(name.format(currency=words.season.currency))
            widget.setToolTip(widget.accessibleName())
        self.remove.setAutoDefault(False)
        self.remove.setMaximumWidth(44)
        label = self.tr("&Wants: crop, fruit, price each in {currency}")
        super().__init__(
            label.format(currency=words.season.currency),
            self.crop, self.count, self.price, self.remove,
            parent=parent,
        )  # fmt: skip
        self.remove.clicked.connect(self.removeAsked)
        if want is not None:
            self.crop.choose(want.crop)
            self.count.setText(words.number(want.count))
            if want.price_minor is not None:
                self.price.setText(shown_price(want.price_minor, words))

    def is_empty(self) -> bool:
        """Nothing typed: not a want at all."""
        return not self.count.text().strip() and not self.price.text().strip()

    def want(self, market_day_id: str) -> Want:
        """What was typed, as a record; raises ``Refusal`` under this row's key."""
        crop = self.crop.value()
        if not isinstance(crop, str):
            raise Refusal(self.key, "Choose a crop.")
        return Want(
            id=self._want.id if self._want is not None else new_id(),
            market_day_id=market_day_id,
            crop=crop,
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
