"""Lines of a form that tell of one crop each, which the user adds and takes away."""

from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.season.season import Season
from ripenroom.window.formats import Formats
from ripenroom.window.plain import set_hint
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.inputs import (
    RecordChoice,
    TypedLine,
    shown_price,
    typed_price,
    whole_number,
)
from ripenroom.window.widgets.refusal_board import RefusalBoard

CropChoices = Sequence[tuple[str, str]]
"""Keys of crops and what they are called."""


def crop_choices(season: Season, also: str | None = None) -> list[tuple[str, str]]:
    """Crops by name, those that the season grows first; ``also`` one that may be unknown now."""
    grown = {c.crop for c in season.book.cultivars.values()}
    grown |= {b.crop for b in season.book.batches.values()}
    keys = sorted(season.crops, key=lambda key: (key not in grown, season.crops[key].name))
    choices = [(key, season.crops[key].name) for key in keys]
    if also is not None and also not in season.crops:
        choices.append((also, also))
    return choices


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
        numbers: Sequence[tuple[TypedLine, str]],
        remove_says: str,
        words: Formats,
        parent: QWidget | None = None,
    ) -> None:
        self.key = key
        self._words = words
        choices, crop_says = crop
        self.crop = RecordChoice(9)
        self.crop.set_choices(choices)
        self.remove = QPushButton("×")
        currency = words.season.currency
        for widget, name in ((self.crop, crop_says), *numbers, (self.remove, remove_says)):
            widget.setAccessibleName(name.format(currency=currency))
            set_hint(widget, widget.accessibleName())
        self.remove.setAutoDefault(False)
        self.remove.setMaximumWidth(44)
        editors = (self.crop, *(line for line, _ in numbers), self.remove)
        super().__init__(label.format(currency=currency), *editors, parent=parent)
        self._numbers = tuple(line for line, _ in numbers)
        self.remove.clicked.connect(self.removeAsked)

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
        return row

    def unused(self, crops: CropChoices) -> str | None:
        """The first crop that no line tells of."""
        used = {row.crop.value() for row in self.rows}
        return next((key for key, _ in crops if key not in used), None)

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

    def _take_away(self, row: Row) -> None:
        self.rows.remove(row)
        del self._board.fields[row.key]
        self.removeWidget(row)
        row.hide()
        row.deleteLater()
        if not self.rows:
            self._another()
        self._label_first()
        self.rows[-1].begin()

    def _label_first(self) -> None:
        for row in self.rows:
            row.label.setVisible(row is self.rows[0])


class WantRow(CropRow):
    """A want's editors in a line, under the refusal key ``want_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Formats,
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
