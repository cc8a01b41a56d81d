"""Itineraries found at a few settings of thermostats, and looked at again at all the others.

Working out which itineraries are worth thinking about is most of the work of a plan. It is done at
a few combinations of set points; all that was worth thinking about at any of them is then looked at
at every other, and of that again only what passes through a place that is set otherwise.
"""

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.choices import LEAST_SHARE, Journeys
from ripenroom.planning.evaluate import of_objective
from ripenroom.planning.problem import FREE, NO_WANT, Itineraries, Problem, end_to_end
from ripenroom.planning.relaxation import relaxed
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.advice.thermostat_settings import held_at
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.pinned_itineraries import ground
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

Progress = Callable[[float], None]
"""Told the share of the work that is done."""


@dataclass(frozen=True, slots=True)
class PlanWorth:
    """Expected ``value_minor`` of the best plan, by ``crates`` on each way: what plans are compared
    by, too hopeful to be told as money but for :func:`told`.

    Fruit ``sold`` is all that someone takes, ``sold_ready`` that of market days.
    """

    value_minor: float
    sold: float
    sold_ready: float
    crates: Floats


def worth(problem: Problem) -> PlanWorth:
    """What the best plan of a problem comes to."""
    if not (problem.ways.size and problem.crates.any()):
        return PlanWorth(0.0, 0.0, 0.0, np.zeros(problem.ways.size))
    crates = relaxed(problem).crates
    sold = problem.wants.sold(problem.saleable(crates))
    ready = float(sold[~problem.wants.second].sum())
    return PlanWorth(problem.value(crates), float(sold.sum()), ready, crates)


def told(laid: PlanningInput, crates: Floats) -> float:
    """What part of the expected worth of plans like this one comes true over sampled truths."""
    return of_objective(laid.problem, crates, laid.prospects, laid.lines.crop)


def paid_ground(state: SeasonState, cancel: threading.Event | None = None) -> PlanningInput:
    """All that can be decided, by what things bring, uncautious."""
    return ground(state, cancel).as_paid


SetPoints = Mapping[str, float]
"""Set points (C) by place id; other places are held as they are today."""


class SharedItineraries:
    """The itineraries of a season that are worth thinking about at any of some ``anchors``.

    ``today`` are the set points of all places that are tried, and ``laid`` the ground with these.
    """

    def __init__(
        self,
        state: SeasonState,
        laid: PlanningInput,
        today: SetPoints,
        anchors: Sequence[SetPoints],
    ) -> None:
        self.laid = laid
        self._now = state.now
        self._projector = Projector.of(state)
        there = [
            paid_ground(state.with_book(held_at(state.book, state.now, anchor)))
            for anchor in anchors
        ]
        self._ways = _union([laid, *there])
        self._problem = replace(laid.problem, ways=self._ways)
        self._today = today
        self._varied = sorted(today)
        self._kept: dict[tuple[tuple[str, float], ...], Floats] = {}
        self._keeps = _keep([laid, *there])
        self._move_h, self._first_h = self._moves()
        self._through = self._passes_through()
        self._markets = SaleTimes.at_markets(laid.days)
        self._second = SaleTimes.of_second_grade(laid.evening_h)

    def at(self, set_points_c: SetPoints) -> Problem:
        """The problem with places held so from now on."""
        moved = np.array(
            [set_points_c.get(key, self._today[key]) != self._today[key] for key in self._varied]
        )
        touched: np.ndarray = self._through & moved
        share = np.zeros(self._ways.size)
        for through in np.unique(touched, axis=0):
            places = {self._varied[n]: set_points_c[self._varied[n]] for n in through.nonzero()[0]}
            own = (touched == through).all(axis=1)
            share[own] = self._shares(through, places)[own]
        return replace(self._problem, ways=replace(self._ways, share=share))

    def _shares(self, through: np.ndarray, places: SetPoints) -> Floats:
        """Shares of all itineraries that pass through ``places``, set so; 0 of others. Kept."""
        key = tuple(sorted(places.items()))
        if key not in self._kept:
            passes = np.asarray(self._through[:, through].all(axis=1))
            self._kept[key] = self._looked_at(passes, places)
        return self._kept[key]

    def _passes_through(self) -> np.ndarray:
        """Through which of the varied places each itinerary passes from now on."""
        laid, ways = self.laid, self._ways
        stays = laid.lines.stays
        ahead = stays.end_h > to_hours(self._now)
        return np.column_stack(
            [
                (ahead & (stays.place == number)).any(axis=1)[ways.batch]
                | ((ways.place == number) & np.isfinite(self._move_h))
                | ((ways.first_place == number) & np.isfinite(self._first_h))
                # What is kept may go anywhere when all market days are over.
                | ((ways.want == NO_WANT) & self._keeps[ways.batch])
                for number in (laid.lines.place_ids.index(key) for key in self._varied)
            ]
        )

    def _moves(self) -> tuple[Floats, Floats]:
        """When each itinerary's moves are made (h; nan: not); pins need not keep to evenings."""
        evening_h = np.append(self.laid.evening_h, np.nan)
        move_h, first_h = evening_h[self._ways.pull], evening_h[self._ways.first]
        pinned = np.flatnonzero(self._ways.fixed != FREE)
        for way, pin in zip(pinned.tolist(), self.laid.pins, strict=True):
            move_h[way] = np.nan if pin.pull_at is None else to_hours(pin.pull_at)
        return move_h, first_h

    def _looked_at(self, some: np.ndarray, places: SetPoints) -> Floats:
        """Shares of some itineraries, with places set so."""
        laid, ways = self.laid, self._ways
        book = held_at(laid.book, self._now, places) if places else laid.book
        foresight = JourneyOutlook(self._projector, book, self._now, laid.lines)
        found = np.zeros(ways.size)
        own = np.flatnonzero(some & (ways.want != NO_WANT))
        second = laid.problem.wants.second[ways.want[own]]
        for sales, sold in ((self._markets, own[~second]), (self._second, own[second])):
            if not sold.size:
                continue
            table = np.column_stack(
                [ways.batch, self._first_h, ways.first_place, self._move_h, ways.place]
            )[sold]
            distinct, number = np.unique(
                np.nan_to_num(table, nan=-1.0), axis=0, return_inverse=True
            )
            batch, first_h, first_place, move_h, place = distinct.T
            journeys = Journeys(
                batch.astype(np.intp),
                np.where(move_h < 0.0, np.nan, move_h),
                place.astype(np.intp),
                np.where(first_h < 0.0, np.nan, first_h),
                first_place.astype(np.intp),
            )
            expected = foresight.looking_at(sales)(journeys)
            found[sold] = expected.at(number.ravel(), self._sale(sold)).expected()[:, 0]
        nowhere = np.flatnonzero(some & (ways.want == NO_WANT))
        later = self.laid.later.with_foresight(foresight)
        found[nowhere] = later.shares(
            ways.batch[nowhere], self._move_h[nowhere], np.maximum(ways.place[nowhere], 0)
        )
        sold = ways.want != NO_WANT
        found[(found < LEAST_SHARE) & ways.free & sold] = 0.0
        return found

    def _sale(self, some: Indices) -> Indices:
        """Which market day, or which evening, each of some itineraries sells on."""
        laid, want = self.laid, self._ways.want[some]
        if laid.problem.wants.second[want].any():
            return np.searchsorted(laid.evening_h, laid.problem.wants.start_h[want])
        return laid.day_of_want[want]


def _keep(grounds: Sequence[PlanningInput]) -> np.ndarray:
    """Which batches could keep beyond all market days at any of the anchors."""
    found = np.zeros(grounds[0].problem.crates.size, bool)
    for laid in grounds:
        ways = laid.problem.ways
        found[ways.batch[(ways.want == NO_WANT) & (ways.share > 0.0)]] = True
    return found


def _union(grounds: Sequence[PlanningInput]) -> Itineraries:
    """Every itinerary of any of the grounds once; what is pinned as in the first."""
    parts = [grounds[0].problem.ways]
    for laid in grounds[1:]:
        ways = laid.problem.ways
        parts.append(ways.of(np.flatnonzero(ways.free)))
    whole = end_to_end(parts)
    names = (whole.batch, whole.want, whole.first_place, whole.first, whole.place, whole.pull)
    _, first = np.unique(np.column_stack([*names, whole.fixed]), axis=0, return_index=True)
    # Two pins may go the same way: all that the first ground has stays.
    kept = np.zeros(whole.size, bool)
    kept[first] = True
    kept[: parts[0].size] = True
    return whole.of(np.flatnonzero(kept))
