"""Facts of a batch in two columns, and its chart: what the panel and the page Picks both show."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFormLayout, QWidget

from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.session import Session
from ripenroom.wording.batch_facts import Fact

if TYPE_CHECKING:
    from ripenroom.window.batch.chart import BatchChart

_BESIDE_LETTERS = 38
"""From this width on facts stand beside their names."""


class FactForm(QFormLayout):
    """Facts beside their names, or beneath them where ``arrange`` finds too little width."""

    def __init__(self) -> None:
        super().__init__()
        self.setHorizontalSpacing(16)
        self.setVerticalSpacing(4)
        self.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)

    def fill(self, facts: Sequence[Fact], of: QWidget) -> None:
        """Show these facts and no others, in labels of the widget ``of``."""
        letter = of.fontMetrics().horizontalAdvance("n")
        while self.rowCount():
            self.removeRow(0)
        for label, text in facts:
            name = PlainLabel(label, of)
            name.setObjectName("faint")
            name.setMinimumWidth(17 * letter)
            value = PlainLabel(text, of)
            value.setWordWrap(True)
            # A long word alone decides how narrow the text may be, not its proportions.
            value.setMinimumWidth(12 * letter)
            self.addRow(name, value)

    def arrange(self, width_px: int, letter_px: int) -> None:
        """Where facts would get a narrow column, they stand beneath their names, set in."""
        beneath = width_px < _BESIDE_LETTERS * letter_px
        policy = QFormLayout.RowWrapPolicy
        self.setRowWrapPolicy(policy.WrapAllRows if beneath else policy.WrapLongRows)
        for row in range(self.rowCount()):
            item = self.itemAt(row, QFormLayout.ItemRole.FieldRole)
            fact = item.widget() if item is not None else None
            if fact is not None:
                set_margins(fact, 2 * letter_px if beneath else 0, 0, 0, 0)


def draw_batch(chart: "BatchChart", session: Session, batch_id: str, by_the_book: bool) -> None:
    """Draw a batch as it is now, beside what the book says if asked; hidden if nothing is foreseen.

    The batch has to be in the season.
    """
    from ripenroom.window.batch.chart import found_of

    season, projection = session.season, session.projection()
    foreseen = batch_id in projection.line_of
    chart.setVisible(foreseen)
    if not foreseen:
        return
    batch = season.book.batches[batch_id]
    crop = season.profile_of(batch_id) or season.crops[batch.crop]
    chart.show_story(
        season.story(batch_id),
        projection.at_h,
        crop.judged_by,
        season.story(batch_id, by_the_book=True) if by_the_book else None,
        found_of(season.book, batch, crop),
    )
