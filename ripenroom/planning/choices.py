"""Types of the planner's input: what each batch may do, and how to ask science about a journey."""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.planning.occupancy import Hands
from ripenroom.planning.problem import Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats

LEAST_SHARE = 0.2
"""Crates with a smaller saleable share are more trouble to sort at a stall than they bring."""


class CalledOff(Exception):  # noqa: N818 - somebody wanted it
    """Looking at what can be done was ended before there was anything to choose from."""


@dataclass(frozen=True, slots=True)
class Journeys:
    """Hypothetical journeys: of which batch, and moved when (h; nan: not at all) to which place.

    Before that move, one at ``first_h`` (nan: none) may bring it to ``first_place``.
    """

    batch: Indices
    move_h: Floats
    place: Indices
    first_h: Floats | None = None
    first_place: Indices | None = None

    def of(self, some: Indices) -> "Journeys":
        """Some of them only."""
        first_h = None if self.first_h is None else self.first_h[some]
        first_place = None if self.first_place is None else self.first_place[some]
        return Journeys(self.batch[some], self.move_h[some], self.place[some], first_h, first_place)


Look = Callable[[Journeys], Prospects]
"""What the science expects on journeys, at some market days, or on every evening."""

Closes = Callable[[Journeys], Floats]
"""When fruit on journeys is past (h; inf: never)."""


Keeps = Callable[[Indices, Floats, Indices], Floats]
"""Which share of batches can be sold after all market days, if each is moved at an hour (nan: not)
to a place."""


@dataclass(frozen=True, slots=True)
class JourneyViews:
    """What can be asked about journeys: ``markets`` sees market days from the n-th on, ``second``
    evenings of second grade, ``closes`` tells when the fruit is past, ``later`` which share can be
    sold after all.

    Where there are very many, ``roughly`` sees market days as ``markets`` does, at a fraction of
    the cost, ``between`` those from one up to another, and ``short_by`` tells by how much a crate
    on each itinerary falls short of being used (in the prices' unit); None: all are looked at as
    they are."""

    markets: Callable[[int], Look]
    second: Look
    closes: Closes
    later: Keeps | None = None
    roughly: Callable[[int], Look] | None = None
    between: Callable[[int, int], Look] | None = None
    short_by: Callable[[Itineraries], Floats] | None = None


@dataclass(frozen=True, slots=True)
class ItineraryInput:
    """All that itineraries are made from; times in hours, one line per batch.

    ``stays`` are where batches have been and will be as written down; where ``written`` nothing
    else is proposed. ``gone_h`` is when fruit that is left where it is will be past, and
    ``cleared_h`` when it will be cleared away.
    ``want_of`` (batches, market days) numbers the want that a batch can serve there, or is
    ``NO_WANT``; ``second_of`` (batches, evenings) likewise for second grade. ``price`` is what a
    fruit of each want brings. ``evening_h`` are
    when moves can be made, ``first_evening`` the first for each batch, ``destinations`` where to.
    ``place_c`` (C) is how warm each place is then. ``hands`` is there if what they can move is
    limited. ``at_once``: a plan is wanted at once, so that few journeys are looked at; a rough look
    at the ``leader`` of each batch stands for it (None: each is looked at).
    """

    stays: Stays
    written: np.ndarray
    gone_h: Floats
    cleared_h: Floats
    want_of: Indices
    second_of: Indices
    price: Floats
    start_h: Floats
    evening_h: Floats
    first_evening: Indices
    destinations: Indices
    place_c: Floats
    hands: Hands | None
    at_once: bool = False
    leader: Indices | None = None


@dataclass(frozen=True, slots=True)
class Selling:
    """Itineraries that sell something, until ``until_h``; the rest as in :class:`Itineraries`."""

    batch: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    until_h: Floats
    prospects: Prospects

    def of(self, some: Indices) -> "Selling":
        """Some of them only."""
        names = [f.name for f in fields(Selling) if f.name != "prospects"]
        found = {name: getattr(self, name)[some] for name in names}
        return replace(self, **found, prospects=self.prospects.of(some))


def standing(stays: Stays, batch: Indices) -> Journeys:
    """Journeys without any new move."""
    return Journeys(batch, np.full(batch.size, np.nan), stays.place[batch, -1])
