"""Where the parts of a want stand in their cell: in one line with a bar, else in several lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRectF

GAP: Final = 12.0
"""Pixels between the parts."""

_BAR_LEAST = 40.0
_BAR_MOST_SHARE = 0.35


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths of the texts, the first being the crop; one of width 0 is not there in any row.

    The bar stands before the column ``bar_at``; ``most`` is the count of fruit at its right end.
    """

    widths: tuple[float, ...]
    bar_at: int
    most: float

    def bar_px(self, width: float) -> float:
        """How long bars are in a cell of that width; 0 where the texts leave no room for one."""
        spare = width - sum(self.widths) - GAP
        return min(spare, width * _BAR_MOST_SHARE) if spare >= _BAR_LEAST else 0.0

    def lines(self, width: float) -> int:
        """How many lines a want takes in a cell of that width."""
        return len(self._broken(width))

    def cells(self, row: QRectF) -> tuple[QRectF, list[QRectF]]:
        """Where the bar stands (no width if there is no room), and every text.

        ``row`` is the first of the want's lines; the others begin beside the crop.
        """
        broken, bar, cells = self._broken(row.width()), QRectF(), [QRectF()] * len(self.widths)
        bar_px = self.bar_px(row.width())
        for line, columns in enumerate(broken):
            x = row.x() + (self.widths[0] if line else 0.0)
            y = row.y() + line * row.height()
            for place, column in enumerate(columns):
                if bar_px and column == self.bar_at:
                    bar = QRectF(x, y + 2, bar_px, row.height() - 4)
                    x += bar_px + GAP
                # The last of a line takes what is left of it.
                last = place == len(columns) - 1 and len(broken) > 1
                wide = row.right() - x if last else min(self.widths[column], row.right() - x)
                cells[column] = QRectF(x, y, max(wide, 0.0), row.height())
                x += self.widths[column]
        return bar, cells

    def _broken(self, width: float) -> Sequence[Sequence[int]]:
        """The columns of each line: as many as fit, at least one beside the crop."""
        there = [n for n, wide in enumerate(self.widths) if wide or not n]
        if sum(self.widths) <= width:
            return [there]
        lines, used = [[0]], self.widths[0]
        for column in there[1:]:
            if used + self.widths[column] > width and used > self.widths[0]:
                lines.append([])
                used = self.widths[0]
            lines[-1].append(column)
            used += self.widths[column]
        return lines
