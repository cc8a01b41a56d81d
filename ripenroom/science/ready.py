"""How much of every batch's fruit is ready, and how much is past, at any age gained since pick."""

import numpy as np

from ripenroom.science.batches import Batches
from ripenroom.science.softening import Floats
from ripenroom.science.spread import share_between_range, shares_beyond


def ready_and_past(
    advance: Floats, batches: Batches, rate_sd: Floats, ripe_advance: Floats | None = None
) -> tuple[Floats, Floats]:
    """Expected shares (ready, past) of all fruit, all uncertainty included.

    ``advance`` is age gained since pick, shape (batches, times). ``ripe_advance``, if ripe life
    can end fruit, is the age gained between the moment one ripe life ago and now: fruit further
    than that beyond ready is past.
    """
    column = slice(None), None
    beyond_ready, beyond_soft = shares_beyond(
        (batches.ready_age[column], past_age(batches, ripe_advance)),
        batches.mean_age[column],
        advance,
        np.hypot(batches.fruit_sd, batches.doubt_sd)[column],
        rate_sd[column],
    )
    # In place: for many batches and days, fresh arrays cost as much as the arithmetic.
    ready, past = beyond_ready, beyond_soft
    ready -= past
    ready *= batches.ripens[column]
    past *= batches.ripens[column]
    return ready, past


def past_age(batches: Batches, ripe_advance: Floats | None) -> Floats:
    """Age beyond which fruit is past, (batches, 1) or of ``ripe_advance``'s shape.

    ``ripe_advance`` as in :func:`ready_and_past`.
    """
    soft = batches.too_soft_age[:, None]
    if ripe_advance is None:
        return soft
    return np.minimum(soft, batches.ready_age[:, None] + ripe_advance)


def ready_range(
    advance: Floats, batches: Batches, rate_sd: Floats, ripe_advance: Floats | None = None
) -> tuple[Floats, Floats, Floats]:
    """80 % range and median of the ready share of all fruit; range from what is not known alone.

    Shapes as in :func:`ready_and_past`.
    """
    column = slice(None), None
    doubt = np.hypot(batches.doubt_sd[column], advance * rate_sd[column])
    low, mid, high = share_between_range(
        batches.ready_age[column],
        past_age(batches, ripe_advance),
        batches.mean_age[column] + advance,
        batches.fruit_sd[column],
        doubt,
    )
    ripens = batches.ripens[column]
    return low * ripens, mid * ripens, high * ripens
