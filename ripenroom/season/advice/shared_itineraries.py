"""Itineraries found at a few settings of thermostats, and looked at again at all the others.

Working out which itineraries are worth thinking about is most of the work of a plan. It is done at
a few combinations of set points; all that was worth thinking about at any of them is then looked at
at every other: each once for every setting of the places that it passes through, and on the one
market day that it goes to.
"""

import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ripenroom.planning.choices import LEAST_SHARE, Journeys
from ripenroom.planning.evaluate import of_objective
from ripenroom.planning.problem import FREE, NO_WANT, Itineraries, Problem, end_to_end
from ripenroom.planning.relaxation import relaxed
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.advice.thermostat_settings import held_at
from ripenroom.season.advice.tried_places import LinesTried, TriedPlaces
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.after_last_market import keeps
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


def worth(problem: Problem, first: Indices | None = None) -> PlanWorth:
    """What the best plan of a problem comes to; ``first`` are itineraries to begin with."""
    if not (problem.ways.size and problem.crates.any()):
        return PlanWorth(0.0, 0.0, 0.0, np.zeros(problem.ways.size))
    found = relaxed(problem, first=first)
    crates = found.crates
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

_LINES = 10_000
"""Batches, each under some settings, that are looked at together: clocks of all fill the memory."""


class SharedItineraries:
    """The itineraries of a season that are worth thinking about at any of some ``anchors``.

    ``today`` are the set points of all places that are tried, and ``laid`` the ground with these.
    Once ``cancel`` is set :class:`~ripenroom.planning.choices.CalledOff` is raised; ``progress`` is
    told the share of the anchors that is done.
    """

    def __init__(
        self,
        state: SeasonState,
        laid: PlanningInput,
        today: SetPoints,
        anchors: Sequence[SetPoints],
        cancel: threading.Event | None = None,
        progress: Progress | None = None,
    ) -> None:
        self.laid = laid
        self._now = state.now
        self._cancel = cancel
        self._projector = Projector.of(state)
        there = []
        for anchor in anchors:
            held = held_at(state.book, state.now, anchor)
            there.append(paid_ground(state.with_book(held), cancel))
            if progress is not None:
                progress(len(there) / len(anchors))
        self._ways = _union([laid, *there])
        self._problem = replace(laid.problem, ways=self._ways)
        self._today = {key: today[key] for key in sorted(today)}
        self._keeps = _keep([laid, *there])
        self._move_h, self._first_h = self._moves()
        self._places = [laid.lines.place_ids.index(key) for key in self._today]
        self._through = self._passes_through()

    def at(self, set_points_c: SetPoints) -> Problem:
        """The problem with places held so from now on."""
        return next(self.at_each([set_points_c]))

    def at_each(self, cells: Sequence[SetPoints]) -> Iterator[Problem]:
        """The problem with places held as each of ``cells`` says; all are looked at together."""
        for share in self._shares(cells):
            yield replace(self._problem, ways=replace(self._ways, share=share))

    def _shares(self, cells: Sequence[SetPoints]) -> Floats:
        """Shares of all itineraries in every cell, (cells, itineraries)."""
        held = [[cell.get(key, here) for key, here in self._today.items()] for cell in cells]
        settings: dict[str, tuple[float, ...]] = {}
        number = np.empty((len(cells), len(self._today)), np.intp)
        for place, (key, here) in enumerate(self._today.items()):
            tried = [cell[place] for cell in held]
            settings[key] = (here, *sorted(set(tried) - {here}))
            number[:, place] = [settings[key].index(celsius) for celsius in tried]
        places = TriedPlaces(self.laid.book, self._now, self.laid.lines, settings)
        shares = np.zeros((len(cells), self._ways.size))
        sold = np.flatnonzero(self._ways.want != NO_WANT)
        shares[:, sold] = self._in_each(
            number, places, sold, self._through[sold], partial(self._sold, sold)
        )
        nowhere = np.flatnonzero(self._ways.want == NO_WANT)
        to = self.laid.later.places_of(self._ways.batch[nowhere])
        way, last = np.repeat(nowhere, to.shape[1]), to.ravel()
        # What is kept may go anywhere when all market days are over.
        goes = self._keeps[self._ways.batch[way], None] & (last[:, None] == self._places)
        best = self._in_each(
            number, places, way, self._through[way] | goes, partial(self._kept, way, last)
        )
        shares[:, nowhere] = keeps(best.reshape(len(cells), *to.shape).max(axis=2))
        return shares

    def _in_each(
        self,
        number: Indices,
        places: TriedPlaces,
        way: Indices,
        through: np.ndarray,
        look: "Callable[[Indices, JourneyOutlook, LinesTried, Indices], Floats]",
    ) -> Floats:
        """What ``look`` tells of entries of ``way`` in every cell, (cells, entries), where each
        hangs on the settings of the tried places that it passes ``through`` alone.

        ``number`` (cells, places) has the settings of each cell, by their numbers.
        """
        step = np.concatenate([[1], np.cumprod(places.counts)])
        batch = self._ways.batch[way]
        # One number for an entry and all the settings that matter to it.
        asked = (number * step[:-1]) @ through.T + step[-1] * np.arange(way.size)
        distinct, back = np.unique(asked, return_inverse=True)
        entry, code = np.divmod(distinct, step[-1])
        alike, line = np.unique(code * self._keeps.size + batch[entry], return_inverse=True)
        code_of_line, batch_of_line = np.divmod(alike, self._keeps.size)
        setting = code_of_line[:, None] // step[:-1] % places.counts
        found = np.zeros(entry.size)
        for first in range(0, alike.size, _LINES):
            some = slice(first, first + _LINES)
            tried = places.lines(batch_of_line[some], setting[some])
            foresight = JourneyOutlook(
                self._projector, places.book, self._now, tried.lines, self._cancel
            )
            own = np.flatnonzero((line >= first) & (line < first + _LINES))
            found[own] = look(entry[own], foresight, tried, line[own] - first)
        return found[back].reshape(asked.shape)

    def _sold(
        self,
        sold: Indices,
        entry: Indices,
        foresight: JourneyOutlook,
        tried: LinesTried,
        line: Indices,
    ) -> Floats:
        """Shares of some of what is ``sold``, each on its ``line`` of what is tried."""
        laid, ways = self.laid, self._ways
        way = sold[entry]
        journeys = Journeys(
            line,
            self._move_h[way],
            tried.place(line, ways.place[way]),
            self._first_h[way],
            tried.place(line, ways.first_place[way]),
        )
        want = ways.want[way]
        second = laid.problem.wants.second[want]
        share = np.zeros(way.size)
        at_market = np.flatnonzero(~second)
        day = laid.day_of_want[want[at_market]]
        for number in np.unique(day).tolist():
            own = at_market[day == number]
            look = foresight.looking_at(SaleTimes.at_markets([laid.days[number]]))
            share[own] = look(journeys.of(own)).expected()[:, 0]
        if second.any():
            own = np.flatnonzero(second)
            evening_h, which = np.unique(laid.problem.wants.start_h[want[own]], return_inverse=True)
            look = foresight.looking_at(SaleTimes.of_second_grade(evening_h))
            expected = look(journeys.of(own)).at(np.arange(own.size), which)
            share[own] = expected.expected()[:, 0]
        share[(share < LEAST_SHARE) & ways.free[way]] = 0.0
        return share

    def _kept(
        self,
        way: Indices,
        last: Indices,
        entry: Indices,
        foresight: JourneyOutlook,
        tried: LinesTried,
        line: Indices,
    ) -> Floats:
        """Shares of what is kept beyond all market days on ``way``, brought to ``last`` then (-1:
        left where it is)."""
        own = way[entry]
        place = np.maximum(self._ways.place[own], 0)
        return self.laid.later.of_lines(foresight, tried.stays).best_day(
            line,
            self._move_h[own],
            tried.place(line, place),
            tried.place(line, last[entry])[:, None],
        )[:, 0]

    def _passes_through(self) -> np.ndarray:
        """Through which of the tried places each itinerary passes from now on."""
        ways, stays = self._ways, self.laid.lines.stays
        ahead = stays.end_h > to_hours(self._now)
        return np.column_stack(
            [
                (ahead & (stays.place == number)).any(axis=1)[ways.batch]
                | ((ways.place == number) & np.isfinite(self._move_h))
                | ((ways.first_place == number) & np.isfinite(self._first_h))
                for number in self._places
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
