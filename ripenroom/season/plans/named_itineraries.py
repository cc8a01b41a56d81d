"""Itineraries as people name them: by batch, place, evening and market day."""

from collections.abc import Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.evaluate import Sampled, drawn
from ripenroom.planning.problem import NO_WANT
from ripenroom.records.market import ExpectedPick, Pin
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.plans.plan import LikelyFruit, PlannedItinerary, PlannedMarket, PlannedMove

_SAME_H = 0.01

_Key = tuple[int, int, int, int, int, int]


class NamedItineraries:
    """Names itineraries of one planning input: to its numbers the batches, places, market days."""

    def __init__(self, laid: PlanningInput, zone: ZoneInfo) -> None:
        self._laid = laid
        self._zone = zone
        self._now_h = to_hours(laid.now)
        stays = laid.lines.stays
        self._here = stays.at(np.full((stays.start_h.shape[0], 1), self._now_h))[:, 0]
        self._pin_of: dict[int, Pin] = dict(zip(laid.pin_ways, laid.pins, strict=True))

    def lines(self, crates: Indices, paid: Floats | None = None) -> tuple[PlannedItinerary, ...]:
        """The lines of a plan: by market day, then second grade, what is left, what is cleared.

        ``paid`` is what is expected to be paid for each (minor units), if anyone asks.
        """
        problem = self._laid.problem
        ways, wants = problem.ways, problem.wants
        worth = np.zeros(ways.size) if paid is None else paid
        used = np.flatnonzero(crates)
        want = ways.want[used]
        second = np.append(wants.second, False)[want]
        when = np.append(wants.start_h, np.inf)[want]
        in_order = used[np.lexsort((used, want, when, second, want == NO_WANT))]
        found = [self._line(way, int(crates[way]), float(worth[way])) for way in in_order.tolist()]
        spare = problem.crates - np.bincount(ways.batch, crates, minlength=problem.crates.size)
        cleared = [
            self._cleared(batch, int(spare[batch])) for batch in np.flatnonzero(spare).tolist()
        ]
        return (*found, *cleared)

    def crates_of(self, lines: Sequence[PlannedItinerary]) -> Indices:
        """Crates on each itinerary that the plan decides on, by lines; those of another day,
        perhaps, and then without what cannot be any more."""
        laid, ways = self._laid, self._laid.problem.ways
        numbers = {key: n for n, key in enumerate(laid.lines.ids)}
        expected = {pick: batch for batch, pick in laid.expected.items()}
        chosen = dict[_Key, int]()
        for line in lines:
            batch = numbers.get(expected.get(line.expected_pick_id or "", line.batch_id))
            key = None if batch is None else self._key(line, batch)
            if key is not None:
                chosen[key] = chosen.get(key, 0) + line.crates
        columns = ways.batch, ways.want, ways.first_place, ways.first, ways.place, ways.pull
        ours = zip(*(column.tolist() for column in columns), strict=True)
        crates = np.fromiter((chosen.get(key, 0) for key in ours), dtype=np.intp, count=ways.size)
        return np.where(ways.free, crates, 0)

    def _key(self, line: PlannedItinerary, batch: int) -> _Key | None:
        """A line as an itinerary's numbers; None if it cannot be one here."""
        laid = self._laid
        want = self._want(line, batch)
        if want is None:
            return None
        stays = laid.lines.stays
        written = set(stays.start_h[batch].tolist())
        steps = [step for step in line.steps if to_hours(step.at) not in written]
        moves = [(-1, -1), (-1, int(stays.place[batch, -1]))]
        for step in steps:
            evening = self._evening(to_hours(step.at))
            if evening is None or step.place_id not in laid.lines.place_ids:
                return None
            moves.append((evening, laid.lines.place_ids.index(step.place_id)))
        before = moves[-2] if len(steps) > 1 else (-1, -1)
        return batch, want, before[1], before[0], moves[-1][1], moves[-1][0]

    def _want(self, line: PlannedItinerary, batch: int) -> int | None:
        laid = self._laid
        if line.market_day_id is None and not line.second_grade:
            return NO_WANT if line.to_place_id is not None else None
        crop = laid.lines.crop_keys[laid.lines.crop[batch]]
        markets = len(laid.day_of_want)
        for want, own in enumerate(laid.crop_of_want):
            if own != crop:
                continue
            if line.second_grade:
                at_h = to_hours(line.pull_at) if line.pull_at is not None else np.nan
                same = abs(laid.problem.wants.start_h[want] - at_h) < _SAME_H
                if want >= markets and same:
                    return want
            elif want < markets and laid.days[laid.day_of_want[want]].id == line.market_day_id:
                return want
        return None

    def _evening(self, at_h: float) -> int | None:
        evenings = self._laid.evening_h
        near = int(np.searchsorted(evenings, at_h - _SAME_H))
        return near if near < evenings.size and evenings[near] - at_h < _SAME_H else None

    def _line(self, way: int, crates: int, worth: float) -> PlannedItinerary:
        laid, problem = self._laid, self._laid.problem
        ways, place_ids = problem.ways, laid.lines.place_ids
        batch, want = int(ways.batch[way]), int(ways.want[way])
        here = place_ids[laid.lines.stays.place[batch, self._here[batch]]]
        second = want != NO_WANT and bool(problem.wants.second[want])
        steps = self._steps(way)
        day = None
        if want != NO_WANT and not second:
            day = laid.days[laid.day_of_want[want]]
        pull_at = steps[-1].at if steps else None
        to_place: str | None = steps[-1].place_id if steps else here
        if second:
            pull_at, to_place = from_hours(float(problem.wants.start_h[want]), self._zone), None
        pin = self._pin_of.get(way)
        pick = laid.expected.get(laid.lines.ids[batch])
        return PlannedItinerary(
            batch_id=laid.lines.ids[batch] if pick is None else "",
            crates=crates,
            from_place_id=here,
            pull_at=pull_at,
            to_place_id=to_place,
            market_day_id=day.id if day else None,
            expected_ready_share=float(ways.share[way]),
            expected_value_minor=worth,
            fruit=float(crates * problem.fruit_per_crate[batch]),
            steps=steps,
            pin_id=pin.id if pin else None,
            packed=pin is not None and pin.packed_at is not None,
            second_grade=second,
            expected_pick_id=pick,
        )

    def _steps(self, way: int) -> tuple[PlannedMove, ...]:
        """The moves that crates on an itinerary will make: as written down, then new ones."""
        laid, ways = self._laid, self._laid.problem.ways
        lines, batch, want = laid.lines, ways.batch[way], ways.want[way]
        begins_h, places = lines.stays.start_h[batch], lines.stays.place[batch]
        by_h = np.inf if want == NO_WANT else laid.problem.wants.start_h[want]
        made: list[tuple[float, int]] = []
        for stay in range(self._here[batch] + 1, begins_h.size):
            # Padding repeats a stay.
            if begins_h[stay - 1] < begins_h[stay] <= by_h and begins_h[stay] > self._now_h:
                made.append((float(begins_h[stay]), int(places[stay])))
        pin = self._pin_of.get(way)
        if pin is not None and pin.pull_at is not None and pin.place_id is not None:
            pinned = to_hours(pin.pull_at), int(ways.place[way])
            # A pin may say no more than what is to be done anyway.
            made += [pinned] if pinned not in made else []
        if ways.first[way] >= 0:
            made.append((float(laid.evening_h[ways.first[way]]), int(ways.first_place[way])))
        if ways.pull[way] >= 0:
            made.append((float(laid.evening_h[ways.pull[way]]), int(ways.place[way])))
        return tuple(
            PlannedMove(from_hours(at_h, self._zone), lines.place_ids[place])
            for at_h, place in made
        )

    def _cleared(self, batch: int, crates: int) -> PlannedItinerary:
        laid = self._laid
        place = laid.lines.stays.place[batch, self._here[batch]]
        pick = laid.expected.get(laid.lines.ids[batch])
        return PlannedItinerary(
            batch_id=laid.lines.ids[batch] if pick is None else "",
            crates=crates,
            from_place_id=laid.lines.place_ids[place],
            pull_at=None,
            to_place_id=None,
            market_day_id=None,
            expected_ready_share=0.0,
            expected_value_minor=0.0,
            fruit=float(crates * laid.problem.fruit_per_crate[batch]),
            expected_pick_id=pick,
        )


AT_RISK_SHARE = 0.8
"""With less saleable fruit than this part of what it wants, a market day counts as failed."""


def planned_markets(
    laid: PlanningInput, crates: Indices, truths: Sampled
) -> tuple[PlannedMarket, ...]:
    """What comes to each market day ahead, of each crop that it wants or is brought."""
    problem = laid.problem
    sells = problem.ways.want != NO_WANT
    brought = (problem.per_crate(problem.ways.batch, problem.ways.want) * crates)[sells]
    want_of, number = problem.ways.want[sells], problem.wants.fruit.size
    planned = np.bincount(want_of, brought, minlength=number)
    # By the shares that lines are told with; the mean over truths is some percent off them.
    ready = np.bincount(want_of, brought * problem.ways.share[sells], minlength=number)
    day, crop = laid.day_of_want.tolist(), laid.crop_of_want
    wants = sorted(range(len(day)), key=lambda n: (laid.days[day[n]].starts_at, day[n], crop[n]))
    return tuple(
        _market(laid, truths, want, float(planned[want]), float(ready[want])) for want in wants
    )


def _market(
    laid: PlanningInput, truths: Sampled, want: int, planned: float, expected: float
) -> PlannedMarket:
    wanted, ready = float(laid.problem.wants.fruit[want]), drawn(truths.saleable[want])
    return PlannedMarket(
        market_day_id=laid.days[laid.day_of_want[want]].id,
        crop=laid.crop_of_want[want],
        wanted=round(wanted),
        planned=planned,
        ready=LikelyFruit(min(ready.low, expected), expected, max(ready.high, expected)),
        shortage=max(wanted - expected, 0.0),
        risk=float((truths.saleable[want] < AT_RISK_SHARE * wanted).mean()),
    )


def filled_by(
    markets: Sequence[PlannedMarket],
    reckoned: Sequence[PlannedItinerary],
    likely: Sequence[ExpectedPick],
) -> tuple[PlannedMarket, ...]:
    """The market days with what lines of ``likely`` picks are to bring them besides."""
    crop_of = {pick.id: pick.crop for pick in likely}
    fruit: dict[tuple[str | None, str], float] = {}
    for line in reckoned:
        key = line.market_day_id, crop_of[line.expected_pick_id or ""]
        fruit[key] = fruit.get(key, 0.0) + line.fruit * line.expected_ready_share
    return tuple(
        replace(market, likely=fruit.get((market.market_day_id, market.crop), 0.0))
        for market in markets
    )
