"""One batch in the form "After the market": brought, sold, thrown away, what came back, price."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.batch import Batch
from ripenroom.season import actions
from ripenroom.texts import tr, tr_in
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import CountRow
from ripenroom.window.widgets.inputs import TypedLine, shown_price, typed_price
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import NEVER, Formats

COUNTS = ("brought", "sold", "thrown")

_CODE_LETTERS = 18
"""A longer name of a crop takes another line."""


class SettleRow(CountRow):
    """The numbers of one batch in a line; all of its refusals are shown below them.

    ``crop`` is its crop's name, ``there`` how many fruit it had (None: nobody knows).
    """

    removeAsked = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(
        self,
        batch: Batch,
        crop: str,
        there: int | None,
        words: Formats,
        parent: QWidget | None = None,
    ) -> None:
        self.batch = batch
        self._words = words
        of_it = crop
        if there is not None:
            of_it = tr("{crop}, {there} there").format(crop=crop, there=words.number(there))
        self.code = WrappedLabel(f"{batch.code}\n{of_it}")
        letters = self.code.fontMetrics()
        natural = max(letters.horizontalAdvance(line) for line in (batch.code, of_it))
        self.code.setMinimumWidth(min(natural + 2, _CODE_LETTERS * letters.horizontalAdvance("n")))
        self.brought, self.sold, self.thrown = (AmountLine(words, 5) for _ in range(3))
        self.price = TypedLine(5)
        self.back = PlainLabel(NEVER)
        self.all_sold = QPushButton(tr_in("of it was sold", "All"))
        self.remove = QPushButton("×")
        super().__init__(
            tr("Batch"),
            self.code, self.brought, self.sold, self.thrown, self.back, self.price,
            self.all_sold, self.remove,
            captions=(
                tr("Brought"),
                tr("Sold"),
                tr("Thrown"),
                tr("Back"),
                tr("{currency} each").format(currency=words.currency_sign),
            ),
            parent=parent,
        )  # fmt: skip
        self.at_fault: QWidget = self.brought
        self._name_editors()
        self.back.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._align()
        for line in self.lines:
            line.textChanged.connect(self._on_edited)
            line.installEventFilter(self)
        self.all_sold.clicked.connect(self.fill_rest)
        self.remove.clicked.connect(self.removeAsked)

    @property
    def lines(self) -> tuple[TypedLine, ...]:
        """The lines to type in, from the left."""
        return self.brought, self.sold, self.thrown, self.price

    def _name_editors(self) -> None:
        code, currency = self.batch.code, self._words.currency_sign
        for widget, name in (
            (self.brought, tr("Brought of {code}")),
            (self.sold, tr("Sold of {code}; key A: all that was not thrown away")),
            (self.thrown, tr("Thrown away of {code}")),
            (self.price, tr("Price of one fruit of {code}, {currency}")),
            (self.all_sold, tr("All of {code} sold")),
            (self.remove, tr("Leave {code} out")),
        ):
            widget.setAccessibleName(name.format(code=code, currency=currency))
            set_hint(widget, widget.accessibleName())
        set_hint(
            self.all_sold,
            tr(
                "Sold becomes all that was brought and not thrown away. Key A in any number of "
                "the line"
            ),
        )
        for button in (self.all_sold, self.remove):
            button.setAutoDefault(False)
        self.remove.setMaximumWidth(44)

    def fill(
        self, outcome: actions.outcomes.BatchOutcome, known: bool, usual_price: int | None
    ) -> None:
        """Show an outcome: one that is ``known``, or one of which only what came is guessed."""
        if outcome.brought:
            self.brought.setText(self._words.number(outcome.brought))
        if known:
            self.sold.setText(self._words.number(outcome.sold))
            self.thrown.setText(self._words.number(outcome.thrown) if outcome.thrown else "")
        price = outcome.price_minor if known else usual_price
        if price is not None:
            self.price.setText(shown_price(price, self._words))
        self._show_back()

    def fill_rest(self) -> None:
        """Everything that was brought and not thrown away was sold."""
        brought, thrown = self.brought.whole(), self.thrown.whole() or 0
        if brought is not None and brought >= thrown:
            self.sold.setText(self._words.number(brought - thrown))

    def is_empty(self) -> bool:
        """Nothing came: neither brought, sold nor thrown away is filled in."""
        return not any(line.text().strip() for line in self.lines[:3])

    def came(self) -> int:
        """Fruit that was brought, as far as what is typed can be read."""
        return self.brought.whole() or 0

    def came_back(self) -> int | None:
        """Fruit that came back, as far as what is typed can be read."""
        brought, sold = self.brought.whole(), self.sold.whole()
        thrown = self.thrown.whole() if self.thrown.typed() else 0
        if brought is None or sold is None or thrown is None or sold + thrown > brought:
            return None
        return brought - sold - thrown

    def outcome(self) -> actions.outcomes.BatchOutcome:
        """What was typed; raises ``Refusal`` of the field that cannot be read."""
        return actions.outcomes.BatchOutcome(
            self.batch.id,
            self.brought.needed_count(self._field("brought")),
            self.sold.needed_count(self._field("sold")),
            self.thrown.count(self._field("thrown")) or 0,
            typed_price(self.price, self._words, self._field("price_minor")),
        )

    def _field(self, what: str) -> str:
        return actions.field_of(what, self.batch.id)

    def editor_of(self, what: str) -> QWidget:
        """The line of that name, which of the price is shorter; the first where there is none."""
        return self.price if what == "price_minor" else super().editor_of(what)

    def _on_edited(self) -> None:
        self._show_back()
        self.edited.emit()

    def _show_back(self) -> None:
        back = self.came_back()
        self.back.setText(NEVER if back is None else self._words.number(back))
        self.back.setAccessibleName(
            tr("Came back of {code}: {back}").format(code=self.batch.code, back=self.back.text())
        )
