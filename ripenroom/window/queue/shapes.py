"""From hours to the rectangles of one line: what is drawn from where to where.

All fruit of a batch sits on its line's shelf. It is drawn as three overlapping stretches:

* holding, low, from the pick until "ready" is full;
* ready, as tall as the share that is ready on the best day, fading in over the opening range and
  out over the closing range;
* past, low, from where "ready" begins to fade until today or a while after.

Fruit that the cold ends before it is ready is holding until then, and past after.

On the best day "ready" is always full, even where so little is known that the two ranges overlap:
the eye finds the day by it, and how far the edges reach tells how sure it is.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.season.projection import FloatColumn, Projection, State
from ripenroom.window.queue.facts import Facts
from ripenroom.window.queue.geometry import TimeView
from ripenroom.window.queue.lines import Order

PAST_TAIL_H: Final = 48.0
"""How long fruit that is past is drawn after the last of its closing range."""
BEYOND_PX: Final = 400.0
"""Edges further out of sight than this are drawn here: painters overflow on far coordinates."""


@dataclass(frozen=True, slots=True)
class Shapes:
    """Pixels from the left edge for some lines, in drawing order; ``nan`` where there is none."""

    picked: FloatColumn
    opens_low: FloatColumn
    opens: FloatColumn
    full_from: FloatColumn
    """Where "ready" is drawn full: the high end of the opening range, or the best day before it."""
    best: FloatColumn
    full_to: FloatColumn
    """Until where it is full: the low end of the closing range, or the best day after it."""
    closes: FloatColumn
    closes_high: FloatColumn
    tail: FloatColumn
    ready_share: FloatColumn
    never: FloatColumn
    """Where the outline ends of fruit that won't be ready at all; ``nan`` for all other fruit."""
    gate: FloatColumn
    """Where the cold or trigger is done that the fruit needs; ``nan`` where it needs none."""


def shapes_of(projection: Projection, facts: Facts, lines: Order, view: TimeView) -> Shapes:
    """The shapes of the chosen lines; costs nothing for the others."""
    opens, closes = projection.opens_h, projection.closes_h

    def px(hours: FloatColumn) -> FloatColumn:
        return np.clip(view.x(hours), -BEYOND_PX, view.width_px + BEYOND_PX)

    best_h = projection.best_h.mid[lines]
    closes_high_h = closes.high[lines]
    closes_mid_h = closes.mid[lines]
    wont_ripen = projection.state[lines] == State.WONT_RIPEN
    never = np.isnan(closes_mid_h) | wont_ripen
    held_to_the_end = projection.ends_unready[lines]
    tail_h = tails_h(projection, lines)
    gate_h = projection.gate_opens_h[lines]
    return Shapes(
        picked=px(facts.picked_h[lines]),
        opens_low=px(np.fmax(opens.low[lines], facts.picked_h[lines])),
        opens=px(opens.mid[lines]),
        full_from=px(
            np.where(
                held_to_the_end,
                closes_high_h,
                np.fmin(opens.high[lines], np.fmax(best_h, opens.mid[lines])),
            )
        ),
        best=px(best_h),
        full_to=px(
            np.where(
                held_to_the_end,
                closes.low[lines],
                np.fmax(closes.low[lines], np.fmin(best_h, closes_mid_h)),
            )
        ),
        closes=px(closes_mid_h),
        closes_high=px(closes_high_h),
        tail=px(tail_h),
        ready_share=np.nan_to_num(projection.ready_at_best.mid[lines]),
        never=px(np.where(never, tail_h, np.nan)),
        gate=px(np.where(np.isinf(gate_h), np.nan, gate_h)),
    )


def tails_h(projection: Projection, lines: Order) -> FloatColumn:
    """The hour at which the drawing of each line ends.

    Fruit that is past lies there until it is thrown out, so its hatching reaches today.
    """
    closes = projection.closes_h
    last = np.fmax(closes.high[lines], closes.mid[lines]) + PAST_TAIL_H
    return np.fmax(last, projection.at_h)


def tail_end_h(projection: Projection, line: int) -> float:
    """:func:`tails_h` of one line."""
    return float(tails_h(projection, np.array([line]))[0])
