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

_COURSES = 3
"""Openings of a gate that an outlook tells apart."""


def looking(
    projector: Projector, book: Book, now: datetime, lines: Lines, starts_h: Floats, until_h: Floats
) -> Look:
    """Looks at journeys of ``lines``, at market days that begin at ``starts_h`` (increasing) and
    whose buyers eat until ``until_h``."""
    gated = any(projector.constants[lines.crop_keys[crop]].gate.shut for crop in set(lines.crop))
    courses = _COURSES if gated else 1

    def look(journeys: Journeys) -> Prospects:
        moved = lines.moved(journeys.batch, journeys.move_h, journeys.place)
        outlook = projector.outlook_along(moved, book, now)
        return _prospects(outlook, starts_h, until_h, courses)

    return look


def _prospects(outlook: Outlook, starts_h: Floats, until_h: Floats, courses: int) -> Prospects:
    """Prospects of every line of an outlook at market days."""
    order = np.argsort(until_h, kind="stable")
    back = np.argsort(order, kind="stable")
    batches = outlook.batches
    shape = batches.picked_h.size, starts_h.size, courses
    past_age, at_start, at_horizon = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    weight = np.zeros((shape[0], 1, courses))
    for course, part in enumerate(outlook.parts()):
        own, start = part.lines, part.outlook.gained(starts_h)
        ready_age, soft_age = batches.ready_age[own, None], batches.too_soft_age[own, None]
        past_age[own, :, course] = soft_age
        if start.ripe_life is not None:
            past_age[own, :, course] = np.minimum(soft_age, ready_age + start.ripe_life)
        at_start[own, :, course] = start.advance
        at_horizon[own, :, course] = part.outlook.gained(until_h[order]).advance[:, back]
        weight[own, :, course] = part.weight
    return Prospects(
        mean_age=batches.mean_age[:, None],
        doubt_sd=batches.doubt_sd[:, None],
        fruit_sd=batches.fruit_sd[:, None],
        rate_sd=outlook.eat_by.way.rate_sd[:, None],
        ready_age=batches.ready_age[:, None],
        ripens=batches.ripens[:, None],
        there=outlook.in_supply(starts_h),
        past_age=past_age,
        at_start=at_start,
        at_horizon=at_horizon,
        weight=weight,
    )
