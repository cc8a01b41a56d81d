"""What forms are made of: a typed line, one that is chosen whole, a number, a price, a record."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSignalBlocker, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QSizePolicy, QSpinBox, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.wording.formats import Formats


class TypedLine(QLineEdit):
    """``letters`` is how many letters it shows at least."""

    def __init__(
        self, letters: int = 8, placeholder: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._letters = letters
        self.setPlaceholderText(placeholder)
        self._fit()

    def _fit(self) -> None:
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance("0") * self._letters + 14)

    def changeEvent(self, event: QEvent) -> None:
        """Keep room for the letters when the text size changes."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def event(self, event: QEvent) -> bool:
        """Qt's line keeps undo for itself even when it has nothing to undo; this one does not."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and (
                (event.matches(QKeySequence.StandardKey.Undo) and not self.isUndoAvailable())
                or (event.matches(QKeySequence.StandardKey.Redo) and not self.isRedoAvailable())
            )
        ):
            event.ignore()
            return False
        return super().event(event)


def typed_number(line: TypedLine, words: Formats, field: str) -> float:
    """The number in a line; raises ``Refusal`` of ``field`` for anything else."""
    typed = line.text().strip()
    value = words.parse_number(typed)
    if value is None:
        raise Refusal(field, "Type a number here, not “{typed}”.", typed=typed)
    return value


class CountBox(QSpinBox):
    """A spin box whose number keeps off its frame, which style sheets cannot ask for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lineEdit().setTextMargins(6, 0, 0, 0)


def shown_price(price_minor: int, words: Formats) -> str:
    """A price (minor units) as it is typed: without the currency."""
    decimals = words.season.currency_decimals
    return words.number(price_minor / 10**decimals, decimals)


def typed_price(line: TypedLine, words: Formats, field: str) -> int | None:
    """The price (minor units) in a line, None if it is empty.

    Raises ``Refusal`` of ``field`` for what is no price.
    """
    text = line.text().strip()
    if not text:
        return None
    amount = text
    for sign in (words.season.currency, words.currency_sign):
        amount = amount.removeprefix(sign).removesuffix(sign).strip()
    value = words.parse_number(amount)
    decimals = words.season.currency_decimals
    minor = None if value is None else round(value * 10.0**decimals)
    if minor is None or minor < 0 or abs(minor / 10**decimals - (value or 0.0)) > 1e-9:
        raise Refusal(
            field,
            "Price: type an amount such as {example}, not “{typed}”.",
            example=words.number(1.5, decimals),
            typed=text,
        )
    return minor


class RecordChoice(QComboBox):
    """A combo box over ``(value, text)`` pairs; values are compared by equality."""

    def __init__(self, letters: int = 10, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values: list[object] = []
        self.setMinimumContentsLength(letters)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_choices(self, choices: Sequence[tuple[object, str]]) -> None:
        """Offer these; the present choice stays if it is among them."""
        kept = self.value()
        with QSignalBlocker(self):
            self.clear()
            self._values = [value for value, _ in choices]
            self.addItems([text for _, text in choices])
            self.choose(kept)

    def value(self) -> object:
        """The value of the present choice, or None."""
        index = self.currentIndex()
        return self._values[index] if 0 <= index < len(self._values) else None

    def choose(self, value: object) -> bool:
        """Make ``value`` the choice; returns False, changing nothing, if it is not offered."""
        if value not in self._values:
            return False
        self.setCurrentIndex(self._values.index(value))
        return True


class ChosenLine(TypedLine):
    """However the keyboard comes, a click included; a second click sets the cursor.

    Each kind says in :meth:`read_back` what happens when the line is left.
    """

    _clicked_in = False

    def read_back(self) -> None:
        """The line is left: read what was typed."""
        raise NotImplementedError

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Choose all, but where only a popup was closed."""
        super().focusInEvent(event)
        self._clicked_in = event.reason() == Qt.FocusReason.MouseFocusReason
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Read what was typed, but where only a popup was opened."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.read_back()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The click that came in chooses all, where it chose nothing itself."""
        super().mouseReleaseEvent(event)
        if self._clicked_in and not self.hasSelectedText():
            self.selectAll()
        self._clicked_in = False
