"""From a season's records to the problem that the planner solves."""

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.bounded import LeftOut
from ripenroom.planning.caution import cautious
from ripenroom.planning.itineraries import ItineraryInput, JourneyViews, find
from ripenroom.planning.occupancy import Hands
from ripenroom.planning.problem import Itineraries, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import crate_worth, short_by, with_handling
from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick, MarketDay, Pin
from ripenroom.records.place import Place
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.amounts_sold import sizes_of
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import CLOCK_SLACK, column, evenings_between, to_hours
from ripenroom.season.plans.demand import (
    days_ahead,
    demand_at_markets,
    later_prices,
    second_grades,
    want_of,
    with_second_grades,
)
from ripenroom.season.plans.expected_picks import likely_picks, with_expected
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.known import Asked, Known
from ripenroom.season.plans.later import LATER_PRICE, Later
from ripenroom.season.plans.plan import BrokenPin
from ripenroom.season.projector import Projector
from ripenroom.season.room_clocks import schedules
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import at_home


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


SECOND_GRADE_AHEAD = timedelta(days=14)
"""So far second grade is planned for where no market day lies further ahead."""

_A_DAY_H = 24.0

_LEAST_FRUIT = 0.5
"""A batch with less left than this has none; what was weighed need not come out at whole fruit."""


@dataclass(frozen=True, slots=True)
class PlanningInput:
    """A problem, and what its numbers point to.

    ``lines`` are the batches, in the order of their ids; ``expected`` tells which of them stand
    for which expected pick, even if that is only ``likely``. ``closes_h`` is when each is past
    (inf: never). ``days`` are the market days ahead; ``day_of_want`` numbers that of each want of a
    market day, which come first, and ``crop_of_want`` is the key of every want's crop.
    ``evening_h`` are the evenings on which moves can be made. Places beyond those of the lines are
    not places but limits of hands.

    ``known`` is what the next plan need not find again. ``pins`` are followed, by the itineraries
    of ``pin_ways``; ``broken_pins`` cannot be.
    """

    problem: Problem
    prospects: Prospects | None
    lines: BatchColumns
    expected: Mapping[str, str]
    closes_h: Floats
    days: tuple[MarketDay, ...]
    day_of_want: Indices
    crop_of_want: tuple[str, ...]
    evening_h: Floats
    now: datetime
    book: Book
    foresight: JourneyOutlook
    later: Later
    known: Known
    likely: tuple[ExpectedPick, ...] = ()
    pins: tuple[Pin, ...] = ()
    pin_ways: tuple[int, ...] = ()
    broken_pins: tuple[BrokenPin, ...] = ()

    @property
    def as_paid(self) -> "PlanningInput":
        """The same without caution, to ask what things bring."""
        return replace(self, problem=self.problem.as_paid)

    @property
    def unhurdled(self) -> "PlanningInput":
        """The same with caution, but none about moves, to ask what knowing more is worth: that a
        move need not clear its hurdle is nobody's gain."""
        return replace(self, problem=replace(self.problem, cautious=True, hurdle=0.0))

    def counted(self, crates: Indices) -> Indices:
        """Crates on each itinerary, without those of picks that are only likely: a plan reckons
        with them, but promises nothing of what nobody has picked or said is to come."""
        only = {pick.id for pick in self.likely}
        likely = np.array([self.expected.get(key) in only for key in self.lines.ids], dtype=bool)
        return np.where(likely[self.problem.ways.batch], 0, crates)

    @property
    def hands(self) -> Hands | None:
        """What stands for what hands can move, if that is limited."""
        places = len(self.lines.place_ids)
        limited = self.problem.room.shape[0] > places
        return Hands(places, to_hours(self.now)) if limited else None


def unpinned(
    state: SeasonState, cancel: threading.Event | None = None, known: Known | None = None
) -> PlanningInput:
    """What could be decided if nothing was pinned, of fruit that is at home.

    Where all that itineraries hang on is as it was when they were ``known``, they are not looked
    for again.
    Raises :class:`~ripenroom.planning.choices.CalledOff` if ``cancel`` is set meanwhile.
    """
    state = state.with_book(at_home(state.book, state.crops, state.now))
    projector = Projector.of(state)
    likely = likely_picks(state)
    book, expected = with_expected(state, likely)
    outlook = projector.outlook(book, state.now)
    soon_h = to_hours(state.now + CLOCK_SLACK)
    all_lines = outlook.lines
    ahead = np.array([key in expected for key in all_lines.ids], dtype=bool)
    picked_h = all_lines.batches.picked_h
    left = np.where(ahead, all_lines.picked, all_lines.left_at(np.array([soon_h]))[:, 0])
    days = days_ahead(book, state.now)
    # What will be picked after the last market day ahead is no matter for this plan.
    last_h = to_hours(days[-1].starts_at) if days else -np.inf
    in_time = np.where(ahead, picked_h < last_h, picked_h <= soon_h)
    here = np.flatnonzero((left >= _LEAST_FRUIT) & in_time)
    # By code, so that neither ids nor the order of records in a file make another plan; picks that
    # are expected have none, and come in the order of the lines.
    codes = {batch.id: batch.code for batch in book.batches.values()}
    here = np.array(sorted(here.tolist(), key=lambda n: codes[all_lines.ids[n]]), dtype=np.intp)
    lines, left, ahead = all_lines.of(here), left[here], ahead[here]
    here_expected = {expected[key] for key in lines.ids if key in expected}
    lines = _doubted(lines, ahead, projector)
    closes_h = outlook.past_h[here]
    # What it is made of takes up much memory where batches were moved often.
    del outlook

    asked = demand_at_markets(book, days)
    served = want_of(asked, lines)
    grades = second_grades(book, [lines.crop_keys[crop] for crop in set(lines.crop.tolist())])
    evening_h = _evenings(state.now, days, bool(grades), state.zone)
    asked, second_of = with_second_grades(asked, book, grades, lines, left, evening_h, state.zone)
    start_h = column(day.starts_at for day in days)
    limit = book.season.crates_moved_per_evening
    begins_h, last_h_written = lines.stays.start_h[:, 0], lines.stays.start_h[:, -1]
    written = last_h_written > np.maximum(soon_h, begins_h)
    choices = ItineraryInput(
        stays=lines.stays,
        written=written,
        gone_h=closes_h,
        # What is past by now and still stands there was not cleared away, and takes up its room
        # until the plan gives it up. What will be past is cleared on the evening after that, if
        # its room is needed: the list of tonight asks for it. Moves that are written down are made
        # first.
        cleared_h=np.where(
            closes_h <= soon_h,
            np.inf,
            np.where(written, held_h(closes_h, last_h_written), closes_h),
        ),
        want_of=served,
        second_of=second_of,
        price=asked.wants.price,
        start_h=start_h,
        evening_h=evening_h,
        first_evening=np.searchsorted(evening_h, begins_h),
        destinations=destinations(book, lines.place_ids),
        place_c=place_c(book, lines.place_ids, state.zone, soon_h),
        hands=None if limit is None else Hands(len(lines.place_ids), to_hours(state.now)),
    )
    foresight = JourneyOutlook(projector, book, state.now, lines, cancel)
    later = Later(
        foresight,
        lines.stays,
        choices.destinations,
        choices.place_c[choices.destinations],
        max(last_h, soon_h),
    )
    usual = np.array([state.crops[key].fruit_per_crate.value for key in lines.crop_keys])
    crates = np.ceil(left / usual[lines.crop] - 1e-9).astype(np.intp)
    holds = capacity(book, lines.place_ids)
    if limit is not None:
        holds = np.append(holds, limit)
    room = np.repeat(holds[:, None], evening_h.size, axis=1)
    later_price = LATER_PRICE * later_prices(book, asked, lines.crop_keys)[lines.crop]
    crop_of_want = np.unique(asked.crop, return_inverse=True)[1]
    size = sizes_of(book, state.crops, lines.ids)

    units: list[float] = []

    def problem_of(
        ways: Itineraries, prospects: Prospects | None = None, out: LeftOut | None = None
    ) -> Problem:
        problem = Problem(
            crates=crates,
            fruit_per_crate=left / crates,
            wants=asked.wants,
            ways=ways,
            room=room,
            later_price=later_price,
            now_h=to_hours(state.now),
            left_out=out,
            crate_move=_crate_move(book),
            size=size,
        )
        # What a usual crate is worth all itineraries tell, not the few of them that pay.
        units.append(units[0] if units else crate_worth(problem))
        return cautious(with_handling(problem, units[0]), prospects, crop_of_want, units[0])

    def stop() -> bool:
        return cancel is not None and cancel.is_set()

    views = JourneyViews(
        lambda first: foresight.looking_at(SaleTimes.at_markets(days[first:])),
        foresight.looking_at(SaleTimes.of_second_grade(evening_h)),
        foresight.closes_h,
        later.shares,
        lambda first: foresight.looking_at(SaleTimes.at_markets(days[first:]), rough=True),
        lambda first, last: foresight.looking_at(SaleTimes.at_markets(days[first:last])),
        lambda ways: short_by(problem_of(ways), stop),
    )
    asked_of = Asked(
        state,
        choices,
        lines,
        schedules(book, state.zone),
        days,
        max(last_h, soon_h),
    )
    if known is not None and asked_of.as_before(known.asked):
        found = known.found
        if found.chosen:
            units.append(known.unit)
    else:
        found = find(choices, views)
    foresight.look_on()
    problem = problem_of(found.ways, found.prospects, found.left_out)
    return PlanningInput(
        problem,
        found.prospects,
        lines,
        expected,
        closes_h,
        days,
        asked.day,
        asked.crop,
        evening_h,
        state.now,
        book,
        foresight,
        later,
        Known(asked_of, found, units[0]),
        tuple(pick for pick in likely if pick.id in here_expected),
    )


def held_h(closes_h: Floats, moved_h: Floats) -> Floats:
    """Until when fruit holds its room (h): until it is past, but where it is moved as is decided
    (h; nan: not) for a day from then on. Nobody clears it away before, or as it comes."""
    return np.fmax(closes_h, moved_h + _A_DAY_H)


def _crate_move(book: Book) -> float | None:
    """What carrying a crate costs (minor units); None where nothing has a price to hold it to."""
    priced = any(want.price_minor is not None for want in book.wants.values())
    cost = book.season.crate_move_minor
    return float(cost) if cost is not None and (priced or book.second_grades) else None


def _doubted(lines: BatchColumns, expected: np.ndarray, projector: Projector) -> BatchColumns:
    """The lines with as much doubt about fruit that nobody has in hand yet as about its kind's."""
    usual = np.array([projector.constants[kind].maturity_sd for kind in lines.kinds])
    if not expected.any():
        return lines
    doubt = np.maximum(lines.batches.doubt_sd, np.where(expected, usual[lines.kind], 0.0))
    return replace(lines, batches=replace(lines.batches, doubt_sd=doubt))


def _evenings(
    now: datetime, days: Sequence[MarketDay], second_grade: bool, zone: ZoneInfo
) -> Floats:
    """When moves can be made (h): every evening from now to the last market day."""
    ends = [day.starts_at for day in days[-1:]]
    if second_grade:
        ends.append(now + SECOND_GRADE_AHEAD)
    if not ends:
        return np.empty(0)
    return column(evenings_between(now, max(ends), zone))
