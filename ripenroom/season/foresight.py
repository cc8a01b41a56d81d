"""What the science expects of batches on journeys that nobody has written down."""

from datetime import datetime

import numpy as np

from ripenroom.planning.itineraries import Journeys, Look
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.science.softening import Floats
from ripenroom.season.lines import Lines
from ripenroom.season.outlook import Outlook
from ripenroom.season.projector import Projector


def looking(
    projector: Projector, book: Book, now: datetime, lines: Lines, starts_h: Floats, until_h: Floats
) -> Look:
    """Looks at journeys of ``lines``, at market days that begin at ``starts_h`` (increasing) and
    whose buyers eat until ``until_h``."""

    def look(journeys: Journeys) -> Prospects:
        moved = lines.moved(journeys.batch, journeys.move_h, journeys.place)
        return prospects(projector.outlook_along(moved, book, now), starts_h, until_h)

    return look


def prospects(outlook: Outlook, starts_h: Floats, until_h: Floats) -> Prospects:
    """Prospects of every line of an outlook at market days."""
    order = np.argsort(until_h, kind="stable")
    back = np.argsort(order, kind="stable")
    batches = outlook.lines.batches
    start = outlook.gained(starts_h)
    past_age = np.broadcast_to(batches.too_soft_age[:, None], start.since_pick.shape)
    if start.ripe_life is not None:
        past_age = np.minimum(past_age, batches.ready_age[:, None] + start.ripe_life)
    return Prospects(
        mean_age=batches.mean_age[:, None],
        doubt_sd=batches.doubt_sd[:, None],
        fruit_sd=batches.fruit_sd[:, None],
        rate_sd=outlook.eat_by.rate_sd_on_way[:, None],
        ready_age=batches.ready_age[:, None],
        ripens=batches.ripens[:, None],
        past_age=past_age,
        at_start=start.since_pick,
        at_horizon=outlook.gained(until_h[order]).since_pick[:, back],
        there=outlook.in_supply(starts_h),
    )
