"""How the width of a table is shared out among its columns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class ColumnWidth:
    """How a column's width follows from the room that there is.

    Texts ``in_two_lines`` may be broken, where rows are high enough. ``least_letters`` is how far
    texts are cut off where there is too little room even so (None: never). One with a rank is
    ``left_out`` altogether, the lowest rank first: where any text would else have to be broken, or
    cut off, if it is ``rather_than`` that, or where even cutting is not enough. A column that
    ``may_be_unused`` takes no room while it says nothing of any row. What is left over goes to the
    one that ``takes_rest``, or to the last.
    """

    least_letters: int | None = None
    in_two_lines: bool = False
    left_out: int | None = None
    rather_than: Literal["broken", "cut"] | None = None
    may_be_unused: bool = False
    takes_rest: bool = False


_MOST_AIR_LETTERS = 3

Pixels = dict[int, int]
"""By column, of those that are shown."""


def shared_out(
    widths: Sequence[ColumnWidth],
    natural_px: Sequence[int],
    whole_px: Sequence[int],
    unused: Sequence[bool],
    room_px: int,
    letter_px: int,
) -> list[int]:
    """Pixels of each column in a table ``room_px`` wide; 0: it is left out.

    ``natural_px`` is as much as each needs to show its texts in one line, ``whole_px`` to show them
    whole, broken where they may be. Where there is more room than that, a little air comes between
    the columns.
    """
    natural = {n: px for n, px in enumerate(natural_px) if not unused[n]}
    whole = {n: min(whole_px[n], px) for n, px in natural.items()}
    least = {
        n: px if (letters := widths[n].least_letters) is None else min(px, letter_px * letters)
        for n, px in whole.items()
    }
    _leave_out(widths, natural, {"broken"}, room_px)
    _leave_out(widths, whole, {"broken", "cut"}, room_px, natural)
    _leave_out(widths, least, {"broken", "cut", None}, room_px, whole)
    shown = {n: px for n, px in natural.items() if n in least}
    for floor in (whole, least):
        shown = _given_way(shown, floor, room_px)
    missing = sum(shown.values()) - room_px
    air = min(max(0, -missing) // max(1, len(shown)), _MOST_AIR_LETTERS * letter_px)
    taken = {n: px + air for n, px in shown.items()}
    if taken:
        rest = next((n for n in taken if widths[n].takes_rest), max(taken))
        taken[rest] += max(0, room_px - sum(taken.values()))
    return [taken.get(n, 0) for n in range(len(widths))]


def _leave_out(
    widths: Sequence[ColumnWidth],
    needed: Pixels,
    rather_than: set[str | None],
    room_px: int,
    before: Mapping[int, int] | None = None,
) -> None:
    """Take columns out of ``needed`` until it fits, besides those that ``before`` has no more."""
    for column in [n for n in needed if before is not None and n not in before]:
        del needed[column]
    ranked = sorted(
        (rank, n)
        for n in needed
        if (rank := widths[n].left_out) is not None and widths[n].rather_than in rather_than
    )
    for _, column in ranked:
        if sum(needed.values()) <= room_px:
            break
        del needed[column]


def _given_way(px: Pixels, floor: Mapping[int, int], room_px: int) -> Pixels:
    """All alike, as far down as ``floor``, until they fit."""
    missing = sum(px.values()) - room_px
    slack = sum(px.values()) - sum(floor[n] for n in px)
    share = min(1.0, missing / slack) if missing > 0 and slack > 0 else 0.0
    return {n: int(wide - (wide - floor[n]) * share) for n, wide in px.items()}
