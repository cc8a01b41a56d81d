"""Crates of one batch in the form "Pack": how many feel ready, and what was squeezed of them."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Batch
from ripenroom.season import actions
from ripenroom.season.packing import PackLine
from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import CountRow
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import Formats

COUNTS = ("taken", "firm", "soft")

_CODE_LETTERS, _READY_LETTERS = 26, 13


class PackRow(CountRow):
    """The numbers of some crates in a line, which is ``called`` by what to look for."""

    def __init__(
        self,
        line: PackLine,
        batch: Batch,
        called: str,
        words: Formats,
        parent: QWidget | None = None,
    ) -> None:
        self.line, self.batch = line, batch
        self._words = words
        self.code = WrappedLabel(called)
        letter = self.code.fontMetrics().horizontalAdvance("n")
        self.code.setMinimumWidth(_CODE_LETTERS * letter)
        self.fruit = PlainLabel(words.number(line.fruit))
        self.ready = PlainLabel(
            tr("{ready} ({low}–{high})").format(
                ready=words.number(round(line.ready.mid)),
                low=words.number(round(line.ready.low)),
                high=words.number(round(line.ready.high)),
            )
        )
        self.ready.setAccessibleName(
            tr("About {ready} of {code} are good to sell").format(
                ready=self.ready.text(), code=batch.code
            )
        )
        self.ready.setMinimumWidth(_READY_LETTERS * letter)
        self.taken, self.firm, self.soft = (AmountLine(words, 5) for _ in range(3))
        super().__init__(
            tr("Crates of"),
            self.code, self.fruit, self.ready, self.taken, self.firm, self.soft,
            captions=(
                tr("Fruit"),
                tr("Good to sell"),
                tr("Taken"),
                tr("Too firm"),
                tr("Too soft"),
            ),
            parent=parent,
        )  # fmt: skip
        self.at_fault: QWidget = self.taken
        for typed, name in (
            (self.taken, tr("Taken of {code}; key A: all that is not too firm or too soft")),
            (self.firm, tr("Too firm of {code}, left at home")),
            (self.soft, tr("Too soft of {code}")),
        ):
            typed.setAccessibleName(name.format(code=batch.code))
            set_hint(typed, typed.accessibleName())
            typed.textChanged.connect(self.edited)
            typed.installEventFilter(self)
        self.fruit.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.ready.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._align()

    @property
    def lines(self) -> tuple[AmountLine, ...]:
        """The lines to type in, from the left."""
        return self.taken, self.firm, self.soft

    def fill_rest(self) -> None:
        """All that was not counted as too firm or too soft was taken."""
        others = [line.whole() if line.typed() else 0 for line in (self.firm, self.soft)]
        if None not in others:
            rest = self.line.fruit - sum(number or 0 for number in others)
            self.taken.setText(self._words.number(max(rest, 0)))

    def squeezed(self) -> actions.packing.Squeezed:
        """What was typed, nothing being 0; raises ``Refusal`` of what cannot be read."""
        return actions.packing.Squeezed(
            self.batch.id,
            *(
                line.count(actions.field_of(what, self.batch.id)) or 0
                for what, line in zip(COUNTS, self.lines, strict=True)
            ),
        )
