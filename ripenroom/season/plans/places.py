"""Where fruit can be put: which places, how warm, and how many crates."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.place import Place
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.room_clocks import schedules


def is_destination(place: Place) -> bool:
    """Whether fruit can be moved to a place: a bin in the field is none."""
    return place.kind != "field bin"


def destinations(book: Book, place_ids: Sequence[str]) -> Indices:
    """Places that fruit can be moved to."""
    some = [n for n, key in enumerate(place_ids) if is_destination(book.places[key])]
    return np.array(some, dtype=np.intp)


def place_c(book: Book, place_ids: Sequence[str], zone: ZoneInfo, at_h: float) -> Floats:
    """Set point (C) of each place at a time."""
    plans = schedules(book, zone)
    return np.array([plans[key].set_point_at(at_h) for key in place_ids], dtype=float)


def capacity(book: Book, place_ids: Sequence[str]) -> Floats:
    """Crates that each place holds; inf where space is no limit."""
    capacities = (book.places[key].capacity_crates for key in place_ids)
    return np.array([np.inf if holds is None else holds for holds in capacities], dtype=float)
