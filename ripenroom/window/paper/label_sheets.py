"""Sheets of self-adhesive labels, by the size that stands on their box."""

from dataclasses import dataclass

from PySide6.QtCore import QMarginsF, QRectF
from PySide6.QtGui import QPageLayout, QPageSize

_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels of ``width_mm`` × ``height_mm`` in columns and rows on one sheet of paper.

    The first begins ``left_mm`` and ``top_mm`` from the corner; ``gap_mm`` lies between columns,
    nothing between rows.
    """

    key: str
    paper: QPageSize.PageSizeId
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_mm: float

    @property
    def labels(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    def place_mm(self, number: int) -> QRectF:
        """Where a label of a sheet lies, counted along the rows from 0."""
        row, column = divmod(number, self.columns)
        return QRectF(
            self.left_mm + column * (self.width_mm + self.gap_mm),
            self.top_mm + row * self.height_mm,
            self.width_mm,
            self.height_mm,
        )

    def page_layout(self) -> QPageLayout:
        """The paper with no margins: labels keep their own."""
        return QPageLayout(
            QPageSize(self.paper),
            QPageLayout.Orientation.Portrait,
            QMarginsF(0, 0, 0, 0),
            QPageLayout.Unit.Millimeter,
        )


def _inches(*values: float) -> tuple[float, ...]:
    return tuple(value * _MM_PER_INCH for value in values)


def _sheet(
    key: str, paper: QPageSize.PageSizeId, grid: tuple[int, int], *lengths_mm: float
) -> LabelSheet:
    return LabelSheet(key, paper, *grid, *lengths_mm)


_A4, _LETTER = QPageSize.PageSizeId.A4, QPageSize.PageSizeId.Letter

# Sizes as stationers sell them (common practice; the figures are from memory).
SHEETS: tuple[LabelSheet, ...] = (
    _sheet("a4-8", _A4, (2, 4), 99.1, 67.7, 4.65, 13.1, 2.5),
    _sheet("a4-14", _A4, (2, 7), 99.1, 38.1, 4.65, 15.15, 2.5),
    _sheet("a4-21", _A4, (3, 7), 63.5, 38.1, 7.25, 15.15, 2.5),
    _sheet("a4-24", _A4, (3, 8), 70.0, 37.0, 0.0, 0.5, 0.0),
    _sheet("letter-6", _LETTER, (2, 3), *_inches(4.0, 10 / 3, 5 / 32, 0.5, 3 / 16)),
    _sheet("letter-10", _LETTER, (2, 5), *_inches(4.0, 2.0, 5 / 32, 0.5, 3 / 16)),
    _sheet("letter-30", _LETTER, (3, 10), *_inches(2.625, 1.0, 3 / 16, 0.5, 1 / 8)),
)
"""Columns, rows; then width, height, left, top and gap in millimetres."""

SHEET_OF = {sheet.key: sheet for sheet in SHEETS}
