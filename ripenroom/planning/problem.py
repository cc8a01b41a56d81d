"""What there is to be decided, as columns: batches in crates, itineraries, wants and places."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

MORE_SHARE = 0.25
"""Beyond what a market day wants, so much more of it still sells ..."""

MORE_PRICE = 0.5
"""... at this part of the price; beyond that nothing does. An estimate: stalls clear a surplus of
a quarter by bargaining, and the steps make the worth of fruit fall off as sell-through does."""

NO_WANT = -1
"""In :attr:`Itineraries.want`: the crate is left where it is and goes to no market day."""


def sells_for(saleable: Floats, wanted: Floats) -> Floats:
    """For how many full prices saleable fruit sells where so much is wanted; concave."""
    more = np.clip(saleable - wanted, 0.0, MORE_SHARE * wanted)
    return np.asarray(np.minimum(saleable, wanted) + MORE_PRICE * more)


@dataclass(frozen=True, slots=True)
class Wants:
    """What market days want, earliest first: ``fruit`` of one crop at ``price`` each, at a time."""

    fruit: Floats
    price: Floats
    start_h: Floats

    def value(self, saleable: Floats) -> Floats:
        """Worth of saleable fruit brought for each want; concave, so its steps fill in order.

        The last axis of ``saleable`` is that of the wants.
        """
        return np.asarray(self.price * sells_for(saleable, self.fruit))

    def sold(self, saleable: Floats) -> Floats:
        """Fruit sold of what is saleable; axes as in :meth:`value`."""
        return np.minimum(saleable, (1.0 + MORE_SHARE) * self.fruit)


@dataclass(frozen=True, slots=True)
class Itineraries:
    """Ways in which a crate of a batch can go.

    ``place`` is the last place and ``pull`` which evening's move brings it there (-1: no new
    move). ``share`` is the saleable share expected at the market. ``kept`` marks what the plan
    already made has chosen. The ``stay_*`` tables (itineraries, stays) say on which evenings the
    crate takes up room in which place: from one, up to but not on the other.
    """

    batch: Indices
    want: Indices
    place: Indices
    pull: Indices
    share: Floats
    kept: np.ndarray
    stay_place: Indices
    stay_from: Indices
    stay_until: Indices

    @property
    def size(self) -> int:
        """How many there are."""
        return int(self.batch.size)


@dataclass(frozen=True, slots=True)
class Problem:
    """Batches of ``crates`` with ``fruit_per_crate``, and all that can be done with them.

    ``room`` is how many crates each place holds on each evening, (places, evenings); inf where
    space is no limit.
    """

    crates: Indices
    fruit_per_crate: Floats
    wants: Wants
    ways: Itineraries
    room: Floats

    @property
    def fruit(self) -> Floats:
        """Saleable fruit expected in a crate on each itinerary."""
        return np.asarray(self.ways.share * self.fruit_per_crate[self.ways.batch])

    @property
    def tight(self) -> np.ndarray:
        """Whether each place has a limit at all."""
        return np.asarray(np.isfinite(self.room).any(axis=1))

    def saleable(self, crates: Indices | Floats) -> Floats:
        """Saleable fruit expected for each want, if so many crates go on each itinerary."""
        sells = self.ways.want != NO_WANT
        brought = (self.fruit * crates)[sells]
        brought_for = np.bincount(self.ways.want[sells], brought, minlength=self.wants.fruit.size)
        return brought_for.astype(float)

    def value(self, crates: Indices | Floats) -> float:
        """Expected worth of a plan, in the prices' unit."""
        return float(self.wants.value(self.saleable(crates)).sum())

    def load(self, crates: Indices | Floats) -> Floats:
        """Crates in each place on each evening, (places, evenings)."""
        places, evenings = self.room.shape
        change = np.zeros((places, evenings + 1))
        ways = self.ways
        for stay in range(ways.stay_place.shape[1]):
            place = ways.stay_place[:, stay]
            np.add.at(change, (place, ways.stay_from[:, stay]), crates)
            np.add.at(change, (place, ways.stay_until[:, stay]), -np.asarray(crates))
        return np.cumsum(change, axis=1)[:, :evenings]
