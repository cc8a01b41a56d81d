"""Places as the planner takes them: to which fruit can be moved, how warm, how many crates."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.rooms import schedules

_NO_DESTINATION = "field bin"
"""The kind of place that fruit is not moved to."""


def destinations(book: Book, place_ids: Sequence[str]) -> Indices:
    """Places that fruit can be moved to."""
    kinds = [book.places[key].kind for key in place_ids]
    return np.array([n for n, kind in enumerate(kinds) if kind != _NO_DESTINATION], dtype=np.intp)


def place_c(book: Book, place_ids: Sequence[str], zone: ZoneInfo, at_h: float) -> Floats:
    """Set point (C) of each place at a time."""
    plans = schedules(book, zone)
    return np.array([plans[key].set_point_at(at_h) for key in place_ids], dtype=float)


def capacity(book: Book, place_ids: Sequence[str]) -> Floats:
    """Crates that each place holds; inf where space is no limit."""
    capacities = (book.places[key].capacity_crates for key in place_ids)
    return np.array([np.inf if holds is None else holds for holds in capacities], dtype=float)
