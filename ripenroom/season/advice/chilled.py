"""How much of their chilling allowance fruit of a plan have used when they are sold."""

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.clock import Clock, SettledPulp
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.ground import Ground
from ripenroom.season.projection import Projection
from ripenroom.season.rooms import Schedule, schedules


class ChillingAtSale:
    """Of one season as on a moment; keeps the clocks of rooms that do not change.

    What was used by now is the projection's; from then on it is read from the clock of every place
    that the plan puts the fruit into, as if they had its temperature at once.
    """

    def __init__(
        self,
        constants: Mapping[CropKind, CropConstants],
        projection: Projection,
        now: datetime,
        zone: ZoneInfo,
    ) -> None:
        self._constants = constants
        self._projection = projection
        self._now_h = to_hours(now)
        self._zone = zone
        self._clocks: dict[tuple[Schedule, CropKind, float], Clock] = {}

    def mean_used(self, laid: Ground, crates: Floats, book: Book) -> float:
        """Mean share used, over the crates that are sold at a market day; 0 if none are."""
        ways = laid.problem.ways
        at_market = np.append(~laid.problem.wants.second, False)[ways.want]
        used = np.flatnonzero((crates > 0.0) & at_market)
        if not used.size:
            return 0.0
        batch = ways.batch[used]
        number = self._projection.line_of
        begun = np.array([self._begun(laid.lines.ids[n], number) for n in batch.tolist()])
        sold_h = laid.problem.wants.start_h[ways.want[used]]
        evening_h = np.append(laid.evening_h, np.inf)
        plans, last_h = schedules(book, self._zone), float(sold_h.max())
        until_h = np.full(used.size, self._now_h)
        share = np.nan_to_num(begun)
        for stay in range(ways.stay_place.shape[1]):
            first, until = ways.stay_from[used, stay], ways.stay_until[used, stay]
            # Where a move is made between two evenings both places count as taken: the first does.
            to_h = np.minimum(evening_h[until], sold_h)
            from_h = np.maximum(np.where(first == 0, self._now_h, evening_h[first]), until_h)
            from_h = np.minimum(from_h, to_h)
            place, kind = ways.stay_place[used, stay], laid.lines.kind[batch]
            # What hands can move counts as a place, in which no fruit chills.
            there = (until > first) & (place < len(laid.lines.place_ids))
            until_h[there] = to_h[there]
            for pair in {(int(p), int(k)) for p, k in zip(place[there], kind[there], strict=True)}:
                own = there & (place == pair[0]) & (kind == pair[1])
                clock = self._clock(
                    plans[laid.lines.place_ids[pair[0]]], laid.lines.kinds[pair[1]], last_h
                )
                share[own] += clock.at(to_h[own]) - clock.at(from_h[own])
        return float(np.average(share, weights=crates[used]))

    def _begun(self, batch_id: str, number: Mapping[str, int]) -> float:
        line = number.get(batch_id)
        return 0.0 if line is None else float(self._projection.chilling_used[line])

    def _clock(self, schedule: Schedule, kind: CropKind, last_h: float) -> Clock:
        key = (schedule, kind, last_h)
        if key not in self._clocks:
            pulp = SettledPulp(schedule.air(), self._now_h, max(last_h, self._now_h + 1.0))
            rate = self._constants[kind].chilling.mid.use_per_day
            self._clocks[key] = pulp.clock(rate)
        return self._clocks[key]
