"""From a season's records to the problem that the planner solves."""

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.choices import Look
from ripenroom.planning.itineraries import ItineraryInput, JourneyViews, find
from ripenroom.planning.occupancy import Hands
from ripenroom.planning.problem import Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import short_by
from ripenroom.planning.rough_itineraries import as_led, leaders
from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick, MarketDay, Pin
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import CLOCK_SLACK, column, evenings_between, to_hours
from ripenroom.season.plans.after_last_market import Later
from ripenroom.season.plans.demand import (
    Demand,
    days_ahead,
    demand_at_markets,
    second_grades,
    want_of,
    with_second_grades,
)
from ripenroom.season.plans.expected_picks import likely_picks, with_expected
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.plan import BrokenPin
from ripenroom.season.plans.problem_maker import Frame, OnHand, destinations, on_hand, place_c
from ripenroom.season.plans.reused_itineraries import ItineraryBasis, ReusedItineraries
from ripenroom.season.projector import Projector
from ripenroom.season.room_clocks import schedules
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import at_home

SECOND_GRADE_AHEAD = timedelta(days=14)
"""So far second grade is planned for where no market day lies further ahead."""

_A_DAY_H = 24.0


@dataclass(frozen=True, slots=True)
class PlanningInput:
    """What the planner is given, as arrays, and which record each line and number stands for.

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
    known: ReusedItineraries
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
        return np.where(self.is_likely[self.problem.ways.batch], 0, crates)

    @property
    def is_likely(self) -> np.ndarray:
        """Which lines stand for picks that are only likely."""
        only = {pick.id for pick in self.likely}
        return np.array([self.expected.get(key) in only for key in self.lines.ids], dtype=bool)

    @property
    def hands(self) -> Hands | None:
        """What stands for what hands can move, if that is limited."""
        places = len(self.lines.place_ids)
        limited = self.problem.room.shape[0] > places
        return Hands(places, to_hours(self.now)) if limited else None


def unpinned(
    state: SeasonState,
    cancel: threading.Event | None = None,
    known: ReusedItineraries | None = None,
    at_once: bool = False,
) -> PlanningInput:
    """What could be decided if nothing was pinned, of fruit that is at home.

    Where all that itineraries hang on is as it was when they were ``known``, they are not looked
    for again. ``at_once``: few of them are looked for, and rows of trees are not asked.
    Raises :class:`~ripenroom.planning.choices.CalledOff` if ``cancel`` is set meanwhile.
    """
    state = state.with_book(at_home(state.book, state.crops, state.now))
    projector = Projector.of(state)
    likely = likely_picks(state, by_rows=not at_once)
    book, expected = with_expected(state, likely)
    days = days_ahead(book, state.now)
    end_h = to_hours(days[-1].starts_at) if days else -np.inf
    hand = on_hand(state, projector, book, expected, end_h)
    lines = hand.lines
    demand, choices = _choices(state, book, hand, days, at_once)
    foresight = JourneyOutlook(projector, book, state.now, lines, cancel)
    all_over_h = max(end_h, to_hours(state.now + CLOCK_SLACK))
    warm_c = choices.place_c[choices.destinations]
    later = Later(foresight, lines.stays, choices.destinations, warm_c, all_over_h, at_once)
    frame = Frame(state, book, hand, demand, choices.evening_h)
    asked = ItineraryBasis(state, choices, lines, schedules(book, state.zone), days, all_over_h)
    if known is not None and asked.as_before(known.asked):
        found = known.found
        if found.chosen:
            frame.unit = known.unit
    else:
        found = find(choices, _views(foresight, later, frame, days, choices, cancel))
    foresight.look_on()
    problem = frame.with_ways(found.ways, found.prospects, found.left_out)
    assert frame.unit is not None
    here = {expected[key] for key in lines.ids if key in expected}
    return PlanningInput(
        problem=problem,
        prospects=found.prospects,
        lines=lines,
        expected=expected,
        closes_h=hand.closes_h,
        days=days,
        day_of_want=demand.day,
        crop_of_want=demand.crop,
        evening_h=choices.evening_h,
        now=state.now,
        book=book,
        foresight=foresight,
        later=later,
        known=ReusedItineraries(asked, found, frame.unit),
        likely=tuple(pick for pick in likely if pick.id in here),
    )


def _choices(
    state: SeasonState, book: Book, hand: OnHand, days: tuple[MarketDay, ...], at_once: bool
) -> tuple[Demand, ItineraryInput]:
    """What fruit can be sold for, and all that its itineraries are made from."""
    lines, closes_h = hand.lines, hand.closes_h
    soon_h = to_hours(state.now + CLOCK_SLACK)
    at_markets = demand_at_markets(book, days)
    grades = second_grades(book, [lines.crop_keys[crop] for crop in set(lines.crop.tolist())])
    evening_h = _evenings(state.now, days, bool(grades), state.zone)
    demand, second_of = with_second_grades(
        at_markets, book, grades, lines, hand.left, evening_h, state.zone
    )
    begins_h, last_h_written = lines.stays.start_h[:, 0], lines.stays.start_h[:, -1]
    written = last_h_written > np.maximum(soon_h, begins_h)
    limited = book.season.crates_moved_per_evening is not None
    first_evening = np.searchsorted(evening_h, begins_h)
    return demand, ItineraryInput(
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
        want_of=want_of(at_markets, lines),
        second_of=second_of,
        price=demand.wants.price,
        start_h=column(day.starts_at for day in days),
        evening_h=evening_h,
        first_evening=first_evening,
        destinations=destinations(book, lines.place_ids),
        place_c=place_c(book, lines.place_ids, state.zone, soon_h),
        hands=Hands(len(lines.place_ids), to_hours(state.now)) if limited else None,
        at_once=at_once,
        leader=leaders((lines.kind, lines.stays.place[:, -1], written, first_evening), closes_h)
        if at_once
        else None,
    )


def _views(
    foresight: JourneyOutlook,
    later: Later,
    frame: Frame,
    days: Sequence[MarketDay],
    choices: ItineraryInput,
    cancel: threading.Event | None,
) -> JourneyViews:
    """The ways to ask the science about journeys of these batches."""

    def at(first: int, last: int | None = None, rough: bool = False) -> Look:
        return foresight.looking_at(SaleTimes.at_markets(days[first:last]), rough)

    def stop() -> bool:
        return cancel is not None and cancel.is_set()

    return JourneyViews(
        markets=at,
        second=foresight.looking_at(SaleTimes.of_second_grade(choices.evening_h)),
        closes=foresight.closes_h,
        later=later.shares,
        roughly=lambda first: at(first, rough=True),
        between=at,
        short_by=lambda ways: short_by(as_led(frame.with_ways(ways), choices.leader), stop),
    )


def held_h(closes_h: Floats, moved_h: Floats) -> Floats:
    """Until when fruit holds its room (h): until it is past, but where it is moved as is decided
    (h; nan: not) for a day from then on. Nobody clears it away before, or as it comes."""
    return np.fmax(closes_h, moved_h + _A_DAY_H)


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
