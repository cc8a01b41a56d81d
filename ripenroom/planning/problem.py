"""The planning problem as columns: batches in crates, itineraries, wants and places."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.planning.occupancy import SmallIndices
from ripenroom.planning.search_limits import LeftOutItineraries
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

MORE_SHARE = 0.25
"""Beyond what a market day wants, so much more of it still sells ..."""

MORE_PRICE = 0.5
"""... at this part of the price; beyond that nothing does. An estimate: stalls clear a surplus of
a quarter by bargaining, and the steps make the worth of fruit fall off as sell-through does."""

_NO_CRATE = 1e-6
"""A part of a crate below this comes from the rounding of numbers."""

NO_WANT = -1
"""In :attr:`Itineraries.want`: the crate is left where it is and goes to no market day."""

FREE = -1
"""In :attr:`Itineraries.fixed`: as many crates as the plan sees fit."""


def sells_for(saleable: Floats, wanted: Floats, more: Floats) -> Floats:
    """For how many full prices saleable fruit sells where so much is wanted, and ``more`` sells at
    the lower price; concave."""
    beyond = np.minimum(np.maximum(saleable - wanted, 0.0), more)
    return np.asarray(np.minimum(saleable, wanted) + MORE_PRICE * beyond)


@dataclass(frozen=True, slots=True)
class Wants:
    """What is wanted: ``fruit`` of one crop at ``price`` each, at a time.

    First come those of market days, earliest first; then, where ``second``, those of second grade,
    which takes its fruit and no more. What is wanted ``by_weight`` is given in fruit of the
    crop's usual mass.
    """

    fruit: Floats
    price: Floats
    start_h: Floats
    second: np.ndarray
    by_weight: np.ndarray

    @property
    def more(self) -> Floats:
        """Fruit that still sells beyond what is wanted, at the lower price."""
        return np.where(self.second, 0.0, MORE_SHARE * self.fruit)

    def value(self, saleable: Floats) -> Floats:
        """Worth of saleable fruit brought for each want; concave, so its steps fill in order.

        The last axis of ``saleable`` is that of the wants.
        """
        return np.asarray(self.price * sells_for(saleable, self.fruit, self.more))

    def sold(self, saleable: Floats) -> Floats:
        """Fruit sold of what is saleable; axes as in :meth:`value`."""
        return np.minimum(saleable, self.fruit + self.more)


@dataclass(frozen=True, slots=True)
class Itineraries:
    """Ways in which a crate of a batch can go.

    ``place`` is the last place and ``pull`` which evening's move brings it there (-1: no new
    move); before it a move on evening ``first`` may bring it to ``first_place`` (both -1: none).
    ``share`` is the saleable share expected at the market, or later of what goes to none,
    ``handling`` what the work on a crate costs (in the prices' unit), and ``reserve`` the part of
    its share that caution does not count on. ``kept`` marks what the plan already made has chosen.
    Where ``fixed`` is not ``FREE``, exactly so many crates go so. The ``stay_*``
    tables (itineraries, stays) say on which evenings the crate takes up room in which place: from
    one, up to but not on the other, and whether it is ``new`` there: brought by the plan, and not
    by what is said or pinned already.
    """

    batch: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    handling: Floats
    reserve: Floats
    kept: np.ndarray
    fixed: Indices
    stay_place: SmallIndices
    stay_from: SmallIndices
    stay_until: SmallIndices
    stay_new: np.ndarray

    @property
    def free(self) -> np.ndarray:
        """Whether the plan decides how many crates go so."""
        return np.asarray(self.fixed == FREE)

    @property
    def moves(self) -> Indices:
        """How many new moves a crate makes."""
        return np.asarray((self.pull >= 0).astype(np.intp) + (self.first >= 0))

    @property
    def left(self) -> np.ndarray:
        """Whether the crate stays where it is and goes to no market day, if the plan says so."""
        return np.asarray(self.free & (self.want == NO_WANT) & (self.moves == 0))

    @property
    def size(self) -> int:
        """How many there are."""
        return int(self.batch.size)

    def of(self, some: Indices) -> "Itineraries":
        """Some of them only."""
        return Itineraries(*(getattr(self, f.name)[some] for f in fields(Itineraries)))


def end_to_end(parts: Sequence[Itineraries]) -> Itineraries:
    """Itineraries one after the other; stays that only some of them have are of no length else."""
    most = max(part.stay_place.shape[1] for part in parts)

    def wide(table: np.ndarray) -> np.ndarray:
        return np.pad(table, ((0, 0), (0, most - table.shape[1])))

    return joined(
        [
            replace(
                part,
                stay_place=wide(part.stay_place),
                stay_from=wide(part.stay_from),
                stay_until=wide(part.stay_until),
                stay_new=wide(part.stay_new),
            )
            for part in parts
        ]
    )


@dataclass(frozen=True, slots=True)
class Problem:
    """Batches of ``crates`` with ``fruit_per_crate``, and all that can be done with them.

    ``room`` is how many crates each place holds on each evening, and until the next one, (places,
    evenings); inf where space is no limit. More may stand there already, or come as is decided;
    but as long as it does, nothing new may. What hands can move on an evening may count as one more
    place, in which crates stand while they are moved.

    Saleable fruit that goes to no market day counts ``later_price`` each, for each batch: it may
    find one that nobody has entered yet. Moving a crate once costs ``crate_move`` (in the prices'
    unit); None: an estimate. ``size`` is how heavy a fruit of each batch is, the crop's usual
    being 1.

    Of plans that bring as much, a ``cautious`` problem prefers those that hang on less. What fruit
    counts falls by a part ``waiting`` with each day from ``now_h`` on, and of that it loses what
    falls while it is kept: until it is sold, from now or from ``here_h`` of its batch (h) if that
    is ahead. So it makes no odds which of two batches goes to which of two market days that pay
    alike. Each new move of a crate has to bring ``hurdle`` (in the prices' unit) besides its
    handling, and the ``reserve`` of an itinerary's share does not count.
    """

    crates: Indices
    fruit_per_crate: Floats
    wants: Wants
    ways: Itineraries
    room: Floats
    later_price: Floats | float = 0.0
    waiting: float = 0.0
    hurdle: float = 0.0
    now_h: float = 0.0
    here_h: Floats | float = -np.inf
    left_out: LeftOutItineraries | None = None
    cautious: bool = True
    crate_move: float | None = None
    size: Floats | float = 1.0

    def per_crate(self, batch: Indices, want: Indices) -> Floats:
        """Fruit in a crate of each batch, as each want counts them: by weight a heavy fruit counts
        for more than one."""
        fruit = self.fruit_per_crate[batch]
        by_weight = np.append(self.wants.by_weight, False)[want]  # the last stands for no want
        size = np.broadcast_to(self.size, self.crates.shape)[batch]
        return np.asarray(np.where(by_weight, fruit * size, fruit))

    @property
    def later(self) -> Floats:
        """What a crate on each itinerary counts that goes to no market day, in the prices' unit."""
        price = np.broadcast_to(self.later_price, self.crates.shape)[self.ways.batch]
        return np.where(self.ways.want == NO_WANT, self.fruit * price, 0.0)

    @property
    def as_paid(self) -> "Problem":
        """The same without caution: what things bring, not what is chosen by."""
        return replace(self, cautious=False)

    @property
    def own_gain(self) -> Floats:
        """What a crate on each itinerary counts, besides what is paid for its fruit."""
        hurdles = self.hurdle * self.ways.moves if self.cautious else 0.0
        return np.asarray(self.later - self.ways.handling - hurdles - self.waits)

    @property
    def waits(self) -> Floats:
        """What a crate on each itinerary counts less because it is sold later, in the prices'
        unit. What goes to no market day is sold after all of them."""
        batch, want = self.ways.batch, self.ways.want
        kept = self.later * self._lost(batch, want)
        return np.asarray(kept + self.fruit * self.less_for_waiting(batch, want))

    def less_for_waiting(self, batch: Indices, want: Indices) -> Floats:
        """What a fruit of each batch that is sold for each want counts less because it is kept
        until then, in the prices' unit."""
        return np.append(self.wants.price, 0.0)[want] * self._lost(batch, want)

    def _lost(self, batch: Indices, want: Indices) -> Floats:
        """Which part of its worth fruit of each batch counts less if it is kept for each want."""
        if not self.cautious:
            return np.zeros(batch.shape)
        last_h = self.wants.start_h.max(initial=self.now_h)
        here = self._still_counts(np.broadcast_to(self.here_h, self.crates.shape))
        sold = self._still_counts(np.append(self.wants.start_h, last_h))
        return np.asarray(np.maximum(here[batch] - sold[want], 0.0))

    def _still_counts(self, at_h: Floats) -> Floats:
        """What is left at each time (h) of what fruit counts now, as a part."""
        hours = np.maximum(at_h, self.now_h) - self.now_h
        return np.asarray((1.0 - self.waiting) ** (hours / 24.0))

    @property
    def fruit(self) -> Floats:
        """Saleable fruit that counts in a crate on each itinerary."""
        share = self.ways.share * (1.0 - self.ways.reserve) if self.cautious else self.ways.share
        return np.asarray(share * self.per_crate(self.ways.batch, self.ways.want))

    @property
    def fixed(self) -> Indices:
        """Crates on each itinerary that are decided already."""
        return np.maximum(self.ways.fixed, 0)

    @property
    def undecided(self) -> Indices:
        """Crates of each batch that the plan decides on."""
        fixed = np.bincount(self.ways.batch, self.fixed, minlength=self.crates.size)
        return np.asarray(self.crates - fixed.astype(np.intp))

    @property
    def as_they_stand(self) -> Indices:
        """Crates on each itinerary if all that is not decided is left where it is."""
        left = self.ways.left
        return np.where(left, self.undecided[self.ways.batch], self.fixed)

    @property
    def tight(self) -> np.ndarray:
        """Whether each place has a limit at all."""
        return np.asarray(np.isfinite(self.room).any(axis=1))

    def saleable(self, crates: Indices | Floats) -> Floats:
        """Saleable fruit that counts for each want, if so many crates go on each itinerary."""
        sells = self.ways.want != NO_WANT
        brought = (self.fruit * crates)[sells]
        brought_for = np.bincount(self.ways.want[sells], brought, minlength=self.wants.fruit.size)
        return brought_for.astype(float)

    def value(self, crates: Indices | Floats) -> float:
        """Expected worth of a plan, with what is kept for later, less the handling that it takes
        and what caution takes off, in the prices' unit."""
        sold = float(self.wants.value(self.saleable(crates)).sum())
        return sold + float(self.own_gain @ crates)

    def load(self, crates: Indices | Floats) -> Floats:
        """Crates in each place on each evening, (places, evenings)."""
        return self._counted(crates, np.ones_like(self.ways.stay_new))

    def new(self, crates: Indices | Floats) -> Floats:
        """Those of the crates in each place on each evening that the plan itself brings there."""
        return self._counted(crates, self.ways.stay_new)

    def overfull(self, crates: Indices | Floats) -> np.ndarray:
        """Where a plan brings something new into a place that is too full for it."""
        too_many = self.load(crates) > self.room + _NO_CRATE
        return np.asarray(too_many & (self.new(crates) > _NO_CRATE))

    def standing(self) -> Floats:
        """The most that can stand in each place on each evening if the plan brings nothing there:
        crates that wait where they are, or will be as is decided, for as long as any would."""
        ways, (places, evenings) = self.ways, self.room.shape
        waits = ~ways.stay_new & ways.free[:, None] & (ways.stay_until > ways.stay_from)
        way, stay = np.nonzero(waits)
        key = (ways.batch[way] * places + ways.stay_place[way, stay]) * (evenings + 1)
        distinct, which = np.unique(key + ways.stay_from[way, stay], return_inverse=True)
        last = np.zeros(distinct.size, dtype=np.intp)
        np.maximum.at(last, which, ways.stay_until[way, stay])
        rest, begin = np.divmod(distinct, evenings + 1)
        batch, place = np.divmod(rest, places)
        return self._over_time(place, begin, last, self.undecided[batch]) + self.load(self.fixed)

    def _counted(self, crates: Indices | Floats, which: np.ndarray) -> Floats:
        """Crates in each place on each evening, on ``which`` of their stays."""
        ways = self.ways
        way, stay = np.nonzero(which & (ways.stay_until > ways.stay_from))
        place, begin, end = (
            column[way, stay].astype(np.intp)
            for column in (ways.stay_place, ways.stay_from, ways.stay_until)
        )
        return self._over_time(place, begin, end, crates[way])

    def _over_time(
        self, place: Indices, begin: Indices, end: Indices, number: Indices | Floats
    ) -> Floats:
        """So many crates each in a place from one evening until another, added up: (places,
        evenings). All arguments are of one shape, (n,)."""
        places, evenings = self.room.shape
        shape = places, evenings + 1
        # Counting into one long row is ten times as fast as adding cell by cell.
        comes, leaves = (
            np.bincount(place * shape[1] + evening, number, minlength=places * shape[1])
            for evening in (begin, end)
        )
        change = (comes - leaves).reshape(shape)
        return np.asarray(np.cumsum(change, axis=1)[:, :evenings])
