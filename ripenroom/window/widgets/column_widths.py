"""How the width of a table is shared out among its columns."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ColumnWidth:
    """How a column's width follows from the room that there is.

    ``least_letters`` is how far it gives way where there is too little room (None: not at all), the
    one that ``gives_first`` before all others. One with a rank is ``left_out`` altogether, the
    lowest rank first, where even that is not enough. A column that ``may_be_unused`` takes no room
    while it says nothing of any row. What is left over goes to the one that ``takes_rest``, or to
    the last.
    """

    least_letters: int | None = None
    gives_first: bool = False
    left_out: int | None = None
    may_be_unused: bool = False
    takes_rest: bool = False


_MOST_AIR_LETTERS = 3


def shared_out(
    widths: Sequence[ColumnWidth],
    natural_px: Sequence[int],
    unused: Sequence[bool],
    room_px: int,
    letter_px: int,
) -> list[int]:
    """Pixels of each column in a table ``room_px`` wide; 0: it is left out.

    ``natural_px`` is as much as each needs to show its texts whole. Where there is more room than
    that, a little air comes between the columns.
    """
    natural = {n: px for n, px in enumerate(natural_px) if not unused[n]}
    least = {n: px if widths[n].least_letters is None else min(px, letter_px * _letters(widths[n]))
             for n, px in natural.items()}  # fmt: skip
    ranked = sorted((width.left_out, n) for n, width in enumerate(widths)
                    if width.left_out is not None and n in natural)  # fmt: skip
    for _, column in ranked:
        if sum(least.values()) <= room_px:
            break
        del natural[column], least[column]
    for column in natural:
        if widths[column].gives_first:
            spare = max(0, sum(natural.values()) - room_px)
            natural[column] -= min(spare, natural[column] - least[column])
    missing = sum(natural.values()) - room_px
    slack = sum(natural.values()) - sum(least.values())
    share = min(1.0, missing / slack) if missing > 0 and slack > 0 else 0.0
    air = min(max(0, -missing) // max(1, len(natural)), _MOST_AIR_LETTERS * letter_px)
    taken = {n: int(px - (px - least[n]) * share) + air for n, px in natural.items()}
    if taken:
        rest = next((n for n in taken if widths[n].takes_rest), max(taken))
        taken[rest] += max(0, room_px - sum(taken.values()))
    return [taken.get(n, 0) for n in range(len(widths))]


def _letters(width: ColumnWidth) -> int:
    return width.least_letters or 0
