"""Fruit that is left when the market days in sight are over: how much of it still can be sold.

Otherwise the last market day that is entered would be the end of the world, and the cold room would
be emptied for it. Such fruit counts for less than what is sold, and is never told as money.
"""

import numpy as np

from ripenroom.planning.choices import Journeys
from ripenroom.planning.search_limits import IN_A_ROW, MOST_PLACES, places_for
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes

LATER_PRICE = 0.5
"""What fruit that can still be sold after the last market day in sight counts, as a part of its
usual price. An estimate: there mostly is a next market day, but nobody has said so."""

SPOILS_SHARE, KEEPS_SHARE = 0.15, 0.3
"""Fruit of which less than the one will still be good then does not keep, and counts nothing; from
the other on it counts in full, and in between by and by: else a degree or an hour more would turn a
plan over. Estimates: nobody keeps a crate for the third of it that will be good."""

FIRST_DAY, LAST_DAY = 4, 10
"""Of these days after the last market day the best counts: a market day any sooner would mostly be
entered, and fruit that is good for no longer does not keep."""

_AN_HOUR_H = 1.0

_JOURNEYS = 10_000
"""Journeys looked at in one go, each on seven days."""

_MOST_EXACT = 2_000
"""Where there are more journeys, the place is chosen by a rough look at all of them."""


class Later:
    """Looks at fruit after ``end_h`` (h), the last market day in sight.

    It stays where it is by then, or is brought to one of the ``destinations``, so warm (C) as
    ``place_c`` says, whatever is best. ``roughly``: no more than a rough look is taken.
    """

    def __init__(
        self,
        foresight: JourneyOutlook,
        stays: Stays,
        destinations: Indices,
        place_c: Floats,
        end_h: float,
        roughly: bool = False,
    ) -> None:
        self._stays = stays
        self._destinations = destinations
        self._place_c = place_c
        self._end_h = end_h
        days_h = np.asarray(end_h + 24.0 * np.arange(FIRST_DAY, LAST_DAY + 1.0), dtype=float)
        sales = SaleTimes.eaten_at_once(days_h)
        self._look = foresight.looking_at(sales)
        self._look_roughly = foresight.looking_at(sales, rough=True)
        self._roughly = roughly

    def of_lines(self, foresight: JourneyOutlook, stays: Stays) -> "Later":
        """The same look at the lines of another ``foresight``."""
        return Later(
            foresight, stays, self._destinations, self._place_c, self._end_h, self._roughly
        )

    def places_of(self, batch: Indices) -> Indices:
        """Where batches may be brought, (batches, places): -1, the last, is where they are."""
        to = self._destinations[places_for(batch, self._place_c)]
        return np.column_stack([to, np.full(batch.size, -1)])

    def shares(self, batch: Indices, move_h: Floats, place: Indices) -> Floats:
        """Expected saleable share of batches on their best day, if each is moved first (h; nan:
        not) to a place, as far as it :func:`keeps`."""
        to = self.places_of(batch)
        roughly = self._roughly or batch.size * to.shape[1] > _MOST_EXACT
        step = max(1, _JOURNEYS // to.shape[1])
        if self._destinations.size > MOST_PLACES:
            # The clocks of all places at a time would fill the memory.
            step = 2 * IN_A_ROW
        best = np.zeros(batch.size)
        for first in range(0, batch.size, step):
            some = slice(first, first + step)
            own = batch[some], move_h[some], place[some]
            shares = self.best_day(*own, to[some], roughly)
            if roughly and not self._roughly:
                which = shares.argmax(axis=1)[:, None]
                shares = self.best_day(*own, np.take_along_axis(to[some], which, axis=1))
            best[some] = shares.max(axis=1)
        return keeps(best)

    def best_day(
        self,
        batch: Indices,
        move_h: Floats,
        place: Indices,
        to: Indices,
        roughly: bool = False,
    ) -> Floats:
        """The largest share of each batch at each of the places ``to`` (-1: where it is by then),
        both of shape (batches, places)."""
        again = np.repeat(np.arange(batch.size), to.shape[1])
        last = to.ravel()
        # The move to where it ripens comes after all others.
        arrived_h = np.fmax(self._stays.start_h[batch, -1], move_h) + _AN_HOUR_H
        then_h = np.maximum(arrived_h, self._end_h)[again]
        journeys = Journeys(
            batch=batch[again],
            move_h=np.where(last >= 0, then_h, np.nan),
            place=np.maximum(last, 0),
            first_h=move_h[again],
            first_place=place[again],
        )
        if roughly:
            share = self._look_roughly(journeys).expected_roughly()
        else:
            share = self._look(journeys).expected()
        return np.asarray(share.max(axis=1).reshape(to.shape))


def keeps(share: Floats) -> Floats:
    """What counts of the ``share`` of a batch that will still be good: all of it, none, or, where
    the batch hardly keeps, a part."""
    part = (share - SPOILS_SHARE) / (KEEPS_SHARE - SPOILS_SHARE)
    return np.asarray(share * np.clip(part, 0.0, 1.0))
