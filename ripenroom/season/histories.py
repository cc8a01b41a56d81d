"""Past stays of a batch folded into one, so that thousands of ways ahead are quickly looked at."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.science.air import Air
from ripenroom.science.journey import Stays
from ripenroom.science.steady_place import TravelledAir, travelled
from ripenroom.science.unsettled import Unsettled
from ripenroom.season.batch_columns import BatchColumns, with_stays
from ripenroom.season.room_clocks import Schedule

MANY_STAYS = 6
"""Batches with more stays than this are told by their history: for fewer it is no gain."""


@dataclass(frozen=True, eq=False, slots=True)
class History:
    """Where one batch has been, in the place of a schedule; none equals another."""

    met: TravelledAir

    def air(self) -> Air:
        """What the batch met."""
        return self.met


def with_histories(
    lines: BatchColumns, schedules: Mapping[str, Schedule]
) -> tuple[BatchColumns, tuple[History, ...]]:
    """The lines, where of batches with many stays all but the last are one, in a place of their
    own: these come after all places, as the histories do in their order."""
    stays = lines.stays
    many = np.flatnonzero(stays.counts() > MANY_STAYS)
    if not many.size:
        return lines, ()
    own = stays.of(many)
    airs = [schedules[key].air() for key in lines.place_ids]
    unsettled = Unsettled.along(own, lines.kind[many], airs, lines.pulp_at_pick_c[many])
    met = travelled(own, unsettled.difference_k, airs)
    most = max(2, int(np.delete(stays.counts(), many).max(initial=1)))
    start_h, place = stays.start_h[:, :most].copy(), stays.place[:, :most].copy()
    start_h[many] = own.start_h[:, -1:]
    start_h[many, 0] = own.start_h[:, 0]
    place[many] = own.place[:, -1:]
    place[many, 0] = len(lines.place_ids) + np.arange(many.size)
    pulp_c = lines.pulp_at_pick_c.copy()
    pulp_c[many] = np.nan
    shorter = replace(lines, pulp_at_pick_c=pulp_c)
    return with_stays(shorter, Stays(start_h, place)), tuple(History(one) for one in met)
