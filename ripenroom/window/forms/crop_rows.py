"""Lines of a form that tell of one crop each, which the user adds and takes away."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Generic, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.crop.crop_names import names_of
from ripenroom.records.crop.well_known import also_found_by
from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.forms.grows import grown_in, own_first
from ripenroom.window.forms.sold_by import KnownSales, Sold, SoldByEditors
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import tab_as_laid_out
from ripenroom.window.widgets.search_choices import SearchChoices
from ripenroom.wording.formats import Formats


@dataclass(frozen=True, slots=True)
class CropChoices:
    """Keys of crops and what they are called; ``others`` are other names that find them."""

    named: Sequence[tuple[str, str]]
    others: Mapping[object, Sequence[str]] = field(default_factory=dict)
    hints: Mapping[object, Sequence[str]] = field(default_factory=dict)
    """Kinds and cultivars that find them too."""


def crop_choices(session: Session, also: str | None = None) -> CropChoices:
    """Crops by name, those that the season grows first; ``also`` one that may be unknown now."""
    season = session.season
    grown = grown_in(season.book, session.settings)
    names = {key: names_of(crop) for key, crop in season.crops.items()}
    named = [(key, names[key][0]) for key in own_first(season.crops, grown)]
    if also is not None and also not in season.crops:
        named.append((also, also))
    hints: dict[object, Sequence[str]] = {key: also_found_by(key) for key in names}
    return CropChoices(named, {key: of_it[1:] for key, of_it in names.items()}, hints)


class CropRow(Field):
    """A crop, some numbers, and a button that takes the line away, under a refusal key of its own.

    In ``label`` and in what the parts say to a listener ``{currency}`` stands for the season's.
    """

    removeAsked = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(
        self,
        key: str,
        label: str,
        crop: tuple[CropChoices, str],
        numbers: Sequence[tuple[QWidget, str]],
        remove_says: str,
        words: Formats,
        parent: QWidget | None = None,
    ) -> None:
        self.key = key
        self._words = words
        choices, crop_says = crop
        self.crop = SearchChoices(9)
        self.crop.set_choices(choices.named, others=choices.others, hints=choices.hints)
        self.remove = QPushButton("×")
        currency = words.currency_sign
        for widget, name in ((self.crop, crop_says), *numbers, (self.remove, remove_says)):
            widget.setAccessibleName(name.format(currency=currency))
            set_hint(widget, widget.accessibleName())
        self.remove.setAutoDefault(False)
        self.remove.setMaximumWidth(44)
        editors = (self.crop, *(line for line, _ in numbers), self.remove)
        super().__init__(label.format(currency=currency), *editors, parent=parent)
        self._numbers = tuple(line for line, _ in numbers if isinstance(line, TypedLine))
        self._remove_says = self.remove.accessibleName()
        self.remove.clicked.connect(self.removeAsked)
        self.crop.currentIndexChanged.connect(self._name_remove)
        self._name_remove()

    def _name_remove(self) -> None:
        """Tab comes to these buttons one after the other, so each says of which line it is."""
        said = f"{self._remove_says}: {self.crop.currentText()}"
        self.remove.setAccessibleName(said)
        set_hint(self.remove, said)

    def is_empty(self) -> bool:
        """Nothing typed: the line tells of no crop."""
        return not any(line.text().strip() for line in self._numbers)

    def crop_key(self) -> str:
        """The crop that is chosen; raises ``Refusal`` under this row's key without one."""
        crop = self.crop.value()
        if not isinstance(crop, str):
            raise Refusal(self.key, "Choose a crop.")
        return crop

    def begin(self) -> None:
        """Go to the first number."""
        self._numbers[0].setFocus()

    @property
    def last_line(self) -> QWidget:
        """The last thing in the line that is filled in."""
        return self._numbers[-1]


class SoldRow(CropRow):
    """A crop with an amount and a price by fruit, weight or box; below it what that is in fruit."""

    def __init__(
        self,
        key: str,
        label: str,
        crop: tuple[CropChoices, str],
        says: tuple[str, str],
        remove_says: str,
        words: Formats,
        parent: QWidget | None = None,
        sales: KnownSales | None = None,
    ) -> None:
        sales = sales or KnownSales(lambda _crop: None, lambda *_amount: None)
        self.sold = SoldByEditors(
            words, lambda: sales.box_of(str(self.crop.value())), sales.in_fruit
        )
        self.price = self.sold.price
        editors: list[tuple[QWidget, str]] = [
            (self.sold.amount, says[0]),
            (self.sold.unit, tr("Sold by")),
            (self.sold.per_box, tr("Fruit in a box")),
            (self.sold.price, says[1]),
        ]
        super().__init__(key, label, crop, editors, remove_says, words, parent)
        self.parts = self.sold.parts
        self.in_fruit = PlainLabel("", self)
        self.in_fruit.setObjectName("faint")
        self.in_fruit.hide()
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(layout.indexOf(self.note), self.in_fruit)
        self.sold.changed.connect(self._show_fruit)
        self.crop.currentIndexChanged.connect(self._show_fruit)
        self.sold.per_box.setVisible(self.sold.sold_by == "box")

    def is_empty(self) -> bool:
        """No amount and no price: the line tells of no crop."""
        return not (self.sold.amount.text().strip() or self.price.text().strip())

    def key_of(self, part: str) -> str:
        """The refusal key of one of the line's parts."""
        return f"{self.key}.{part}"

    def _show_fruit(self) -> None:
        text = self.sold.in_fruit(str(self.crop.value()))
        self.in_fruit.setText(text)
        self.in_fruit.setVisible(bool(text))


Row = TypeVar("Row", bound=CropRow)


class CropRows(QVBoxLayout, Generic[Row]):
    """The lines of a form; one at least is there, and only the first shows its label.

    ``another`` adds an empty line with :meth:`put`.
    """

    def __init__(self, board: RefusalBoard, another: Callable[[], Row]) -> None:
        super().__init__()
        self.setSpacing(4)
        self.rows: list[Row] = []
        self.made = 0
        """How many were ever there: the number of the next."""
        self._board = board
        self._another = another

    def put(self, row: Row) -> Row:
        """Add a line at the end."""
        self.made += 1
        row.removeAsked.connect(lambda: self._take_away(row))
        self.rows.append(row)
        self.addWidget(row)
        row.show()  # at once, so that a refusal can be shown beside it
        self._board.fields[row.key] = row
        self._label_first()
        form = self.parent()
        tab_as_laid_out(form if isinstance(form, QLayout) else self)
        self._tab_to_fields_first()
        return row

    def unused(self, crops: CropChoices) -> str | None:
        """The first crop that no line tells of."""
        used = {row.crop.value() for row in self.rows}
        return next((key for key, _ in crops.named if key not in used), None)

    def filled(self) -> list[Row]:
        """Lines in which something is typed."""
        return [row for row in self.rows if not row.is_empty()]

    def refuse_twice(self, why: str) -> None:
        """Refuse a ``{crop}`` that two lines tell of, at the second of them."""
        seen: set[object] = set()
        for row in self.filled():
            if row.crop.value() in seen:
                raise Refusal(row.key, why, crop=row.crop.currentText())
            seen.add(row.crop.value())

    def _tab_to_fields_first(self) -> None:
        """From the end of a line on to the next thing that is filled in: the buttons that take
        lines away come after the last. Of an only line emptying it does as much."""
        removes = [row.remove for row in self.rows]
        for before, after in pairwise([self.rows[-1].last_line, *removes]):
            QWidget.setTabOrder(before, after)
        several = len(self.rows) > 1
        policy = Qt.FocusPolicy.StrongFocus if several else Qt.FocusPolicy.ClickFocus
        for button in removes:
            button.setFocusPolicy(policy)

    def _take_away(self, row: Row) -> None:
        place = self.rows.index(row)
        self.rows.remove(row)
        del self._board.fields[row.key]
        self.removeWidget(row)
        row.hide()
        row.deleteLater()
        if not self.rows:
            self._another()
        self._label_first()
        self._tab_to_fields_first()
        self.rows[min(place, len(self.rows) - 1)].begin()

    def _label_first(self) -> None:
        for row in self.rows:
            row.label.setVisible(row is self.rows[0])


class WantRow(SoldRow):
    """A want's editors in a line, under the refusal key ``want_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Formats,
        want: Want | None = None,
        parent: QWidget | None = None,
        sales: KnownSales | None = None,
    ) -> None:
        self._want = want
        super().__init__(
            f"want_{number}",
            tr("&Wants: crop, how much, and its price in {currency}"),
            (crops, tr("Crop wanted")),
            (tr("How much is wanted"), tr("Price, {currency}")),
            tr("Remove this want"),
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
            raise Refusal(self.key_of("amount"), "How much is wanted? Type a number from 1 on.")
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
