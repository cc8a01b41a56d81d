"""Where the labels of market days stand when their days lie close together."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

_GAP_PX: Final = 6.0


class Form(IntEnum):
    """How much of a market day's label there is room for."""

    FULL = 0
    """Name, day, and a line for each crop wanted."""
    SHORT = 1
    """Name and day."""
    TICK = 2
    """No words: the band alone, and its words on hover."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label to be placed: its band's place and how wide band and forms are (pixels)."""

    anchor_x: float
    band_px: float
    full_px: float
    short_px: float
    weight: float
    """Who goes first where there is not room for all; higher first."""
    wants_full: bool = True


@dataclass(frozen=True, slots=True)
class Placed:
    """A label's form, tier (0 nearest to the lines), left edge and width."""

    form: Form
    tier: int
    x: float
    width: float


Span = tuple[float, float]


def place(
    labels: Sequence[Label], tiers: int, left_px: float, right_px: float, least_px: float
) -> list[Placed]:
    """A place for every label such that none lies upon another; in the order given.

    A label begins somewhere over its band, or is pushed left to stay before ``right_px``. One
    that finds room in no tier takes a shorter form; ``least_px`` is the width under which its
    words are not worth beginning.
    """
    taken: list[list[Span]] = [[] for _ in range(tiers)]
    placed = [Placed(Form.TICK, 0, label.anchor_x, 0.0) for label in labels]
    for index in sorted(range(len(labels)), key=lambda i: (-labels[i].weight, labels[i].anchor_x)):
        label = labels[index]
        if not left_px <= label.anchor_x < right_px:
            continue
        for form, width in _forms(label, least_px):
            first = max(min(label.anchor_x, right_px - width), left_px)
            last = max(min(label.anchor_x + label.band_px, right_px - width), first)
            spot = _free_spot(taken, first, last, width)
            if spot is not None:
                tier, x = spot
                taken[tier].append((x, x + width))
                placed[index] = Placed(form, tier, x, width)
                break
    return placed


def _forms(label: Label, least_px: float) -> list[tuple[Form, float]]:
    """Forms and widths to try, the best first; short words may end in an ellipsis."""
    forms = [(Form.FULL, label.full_px)] if label.wants_full else []
    forms.append((Form.SHORT, label.short_px))
    for share in (0.75, 0.5, 0.35):
        if label.short_px * share >= least_px:
            forms.append((Form.SHORT, label.short_px * share))
    return forms


def _free_spot(
    taken: Sequence[Sequence[Span]], first: float, last: float, width: float
) -> tuple[int, float] | None:
    """The tier and left edge nearest to ``first``, not beyond ``last``, where nothing stands."""
    for tier, spans in enumerate(taken):
        x = first
        for start, end in sorted(spans):
            if x + width + _GAP_PX > start and end + _GAP_PX > x:
                x = end + _GAP_PX
        if x <= last:
            return tier, x
    return None
