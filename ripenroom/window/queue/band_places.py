"""Where the labels of market days stand when their days lie close together."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum


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
    """One label to be placed: its band's place and how wide its forms are (pixels)."""

    anchor_x: float
    full_px: float
    short_px: float
    weight: float
    """Who goes first where there is not room for all; higher first."""
    wants_full: bool = True


@dataclass(frozen=True, slots=True)
class Placed:
    """A label's form, tier (0 nearest to the lines) and left edge."""

    form: Form
    tier: int
    x: float
    width: float


def place(
    labels: Sequence[Label], tiers: int, left_px: float, right_px: float, gap_px: float = 6.0
) -> list[Placed]:
    """A place for every label such that none lies upon another; in the order given.

    A label hangs to the right of its anchor, or is pushed left to stay before ``right_px``. One
    that finds room in no tier takes a shorter form.
    """
    taken: list[list[tuple[float, float]]] = [[] for _ in range(tiers)]
    placed = [Placed(Form.TICK, 0, label.anchor_x, 0.0) for label in labels]
    for index in sorted(range(len(labels)), key=lambda i: (-labels[i].weight, labels[i].anchor_x)):
        label = labels[index]
        if not left_px <= label.anchor_x < right_px:
            continue
        forms = (Form.FULL, Form.SHORT) if label.wants_full else (Form.SHORT,)
        for form in forms:
            width = label.full_px if form is Form.FULL else label.short_px
            x = max(min(label.anchor_x, right_px - width), left_px)
            tier = _free_tier(taken, x, x + width, gap_px)
            if tier is not None:
                taken[tier].append((x, x + width))
                placed[index] = Placed(form, tier, x, width)
                break
    return placed


def _free_tier(
    taken: Sequence[Sequence[tuple[float, float]]], x0: float, x1: float, gap: float
) -> int | None:
    for tier, spans in enumerate(taken):
        if all(x1 + gap <= start or end + gap <= x0 for start, end in spans):
            return tier
    return None
