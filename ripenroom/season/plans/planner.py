"""Makes plans, and makes them again from the same figures to see what a decision would cost."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from ripenroom.planning.allocation import FAR, GOOD_ENOUGH, allocate, enough_after, nearby
from ripenroom.planning.at_hand_first import at_hand_first
from ripenroom.planning.baselines import as_it_is, first_expired_first_out, first_in_first_out
from ripenroom.planning.column_generation import MOST_STEPS, Stop
from ripenroom.planning.evaluate import (
    PlanOutcome,
    of_objective,
    outcome,
    outcome_of,
    paid_for,
    sampled,
)
from ripenroom.records.market import Pin
from ripenroom.science.clock import Indices
from ripenroom.season.plans.input import PlanningInput, unpinned
from ripenroom.season.plans.named_itineraries import NamedItineraries, filled_by, planned_markets
from ripenroom.season.plans.pinned_itineraries import pinned
from ripenroom.season.plans.plan import PinCost, Plan, PlannedItinerary
from ripenroom.season.state import SeasonState

__all__ = ["MOST_STEPS", "PinCost", "Planner"]

_NOTHING = 1e-6
"""A cost below this part of a plan's worth is a matter of ties."""


@dataclass(frozen=True, slots=True)
class _Last:
    """The plan made last, as crates on the itineraries that were ``free``, and the best that was
    found since with other pins: one thing, so that no thread sees half of another plan."""

    free: Indices | None = None
    best: dict[tuple[Pin, ...], tuple[float, Indices, float]] = field(default_factory=dict)

    def best_on(self, laid: PlanningInput, pins: tuple[Pin, ...]) -> tuple[float, Indices, float]:
        """The worth of the best plan with these pins, a plan like this one, and what part of its
        worth can be told."""
        found = self.best.get(pins)
        if found is None:
            worth, crates = _nearby(laid, self.free)
            told = of_objective(laid.problem, crates, laid.prospects, laid.lines.crop)
            found = self.best[pins] = worth, crates, told
        return found


class Planner:
    """All that can be decided as on ``now``, looked at once; several threads may ask.

    Making one is most of the work of a first plan; ``cancel`` ends it by
    :class:`~ripenroom.planning.choices.CalledOff`. What the ``last`` one found and no edit has
    touched is not looked for again. ``at_once``: plans are made of few itineraries, found in a
    fraction of the time.
    """

    def __init__(
        self,
        state: SeasonState,
        cancel: threading.Event | None = None,
        last: "Planner | None" = None,
        at_once: bool = False,
    ) -> None:
        self._ground: PlanningInput = unpinned(
            state, cancel, None if last is None else last._ground.known, at_once
        )
        self._at_once = at_once
        self._pins = state.book.pins
        self._zone = state.zone
        self._last = _Last()

    def plan(
        self,
        before: Plan | None = None,
        steps: int = MOST_STEPS,
        cancel: threading.Event | None = None,
        extra_pins: Sequence[Pin] = (),
    ) -> Plan:
        """The plan; keeps to the plan ``before`` where that costs nothing.

        ``extra_pins`` are followed too, in place of those of the same id. ``cancel`` ends the work
        early, with the best plan by then.
        """
        laid = pinned(self._ground, self._pins_with(extra_pins))
        lines = NamedItineraries(laid, self._zone)
        problem, kept = laid.problem, None
        if before is not None:
            kept = lines.crates_of((*before.lines, *before.reckoned_lines))
            problem = replace(problem, ways=replace(problem.ways, kept=kept > 0))
        oldest = first_in_first_out(problem, laid.lines.batches.picked_h)
        soonest = first_expired_first_out(problem, laid.closes_h)
        enough = GOOD_ENOUGH if before is None else enough_after(before.gap)
        if self._at_once:
            enough = FAR
        found = allocate(problem, steps, cancel, kept, (oldest, soonest), enough)
        crates = at_hand_first(problem, found.crates, laid.is_likely, _never_unless(cancel))
        self._last = _Last(crates[problem.ways.free])

        def becomes(crates: Indices) -> PlanOutcome:
            return outcome(problem, crates, laid.prospects, laid.lines.crop)

        counted = laid.counted(crates)
        truths = sampled(problem, counted, laid.prospects, laid.lines.crop)
        own, reckoned = _parted(laid, lines.lines(crates, paid_for(problem, truths)))
        promised = outcome_of(problem, counted, truths)
        return Plan(
            lines=own,
            gap=found.gap,
            outcome=promised,
            with_likely=becomes(crates) if laid.likely else promised,
            first_in_first_out=becomes(oldest),
            first_expired_first_out=becomes(soonest),
            as_it_is=becomes(as_it_is(problem)),
            markets=filled_by(planned_markets(laid, counted, truths), reckoned, laid.likely),
            made_at=laid.now,
            broken_pins=laid.broken_pins,
            likely=laid.likely,
            reckoned_lines=reckoned,
            at_once=self._at_once,
        )

    def cost_of(self, pins: Sequence[Pin]) -> PinCost:
        """What ``pins`` would cost over leaving their crates to the plan, without waiting long.

        Worth is that of the best plan that may cut crates, so that rounding to whole crates does
        not blur a small cost; it is scaled to what such plans come to over truths.
        """
        apart = {pin.id for pin in pins}
        others = [pin for key, pin in self._pins.items() if key not in apart]
        base = pinned(self._ground, others)
        best_minor, best, told = self._last.best_on(base, tuple(others))
        laid = pinned(self._ground, [*others, *pins])
        value_minor, crates = _nearby(laid, best[base.problem.ways.free])
        cost_minor = best_minor - value_minor
        return PinCost(
            best_minor=told * best_minor,
            cost_minor=told * cost_minor if cost_minor > _NOTHING * best_minor else 0.0,
            fruit=_sold(base, best) - _sold(laid, crates),
            moves=_changed(
                _parted(base, NamedItineraries(base, self._zone).lines(best))[0],
                _parted(laid, NamedItineraries(laid, self._zone).lines(crates))[0],
            ),
            broken_pins=laid.broken_pins,
        )

    def _pins_with(self, extra: Sequence[Pin]) -> list[Pin]:
        return list({**self._pins, **{pin.id: pin for pin in extra}}.values())


def _never_unless(cancel: threading.Event | None) -> Stop:
    return (lambda: False) if cancel is None else cancel.is_set


def _nearby(laid: PlanningInput, free: Indices | None) -> tuple[float, Indices]:
    """The worth of the best plan, and one that keeps to crates on the itineraries that are free:
    these come in the same order, whatever is pinned."""
    if free is None:
        return nearby(laid.problem)
    ways = laid.problem.ways
    before = np.zeros(ways.size, dtype=np.intp)
    before[ways.free] = free
    problem = replace(laid.problem, ways=replace(ways, kept=before > 0))
    return nearby(problem, before)


def _parted(
    laid: PlanningInput, lines: Sequence[PlannedItinerary]
) -> tuple[tuple[PlannedItinerary, ...], tuple[PlannedItinerary, ...]]:
    """Lines of fruit that is there or is said to come, and those of picks that are only likely."""
    only = {pick.id for pick in laid.likely}
    own = tuple(line for line in lines if line.expected_pick_id not in only)
    return own, tuple(line for line in lines if line.expected_pick_id in only)


def _sold(laid: PlanningInput, crates: Indices) -> float:
    """Fruit that a plan is expected to sell."""
    return float(laid.problem.wants.sold(laid.problem.as_paid.saleable(crates)).sum())


def _changed(
    before: Sequence[PlannedItinerary], after: Sequence[PlannedItinerary]
) -> tuple[PlannedItinerary, ...]:
    """Lines that were not there before, or with other crates; those of new pins are not told."""

    def way(line: PlannedItinerary) -> PlannedItinerary:
        return replace(line, expected_value_minor=0.0, fruit=0.0)

    known = {way(line) for line in before}
    return tuple(line for line in after if line.pin_id is None and way(line) not in known)
