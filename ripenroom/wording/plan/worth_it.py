"""Whether the plan is worth its moves, in one sentence."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.worth import money_about

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedItinerary
    from ripenroom.season.plans.update import Delay


_NEARLY_ALL = 0.9
"""So large a part of what all moves bring is nearly all of it."""


def worth_it(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]", words: Formats) -> str:
    """``"€150 more than moving nothing, for 11 moves that cost €7: worth it. Three of them bring
    nearly all of it."``; empty without moves."""
    moves = sum(_moves(line) for line in plan.lines)
    if not moves:
        return tr("No move is needed.") if plan.lines else ""
    own, still = plan.with_likely, plan.as_it_is
    gain = own.value.mean + own.later - still.value.mean - still.later
    said = (
        tr("{gain} more than moving nothing, for 1 move that costs {cost}: worth it."),
        tr("{gain} more than moving nothing, for {moves} moves that cost {cost}: worth it."),
    )
    if gain <= own.handling:
        said = (
            tr("{gain} for 1 move that costs {cost}: not worth it."),
            tr("{gain} for {moves} moves that cost {cost}: not worth it."),
        )
    sentence = said[moves > 1].format(
        gain=money_about(max(gain, 0.0), words),
        moves=words.number(moves),
        cost=words.money(round(own.handling)),
    )
    few = moves_that_count(plan, if_left)
    if gain <= 0.0 or not few or 2 * few > moves:
        return sentence
    best = (
        tr("One of them brings nearly all of it."),
        tr("{few} of them bring nearly all of it."),
    )
    return f"{sentence} {best[few > 1].format(few=words.number(few))}"


def moves_that_count(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]") -> int:
    """How many of the plan's moves bring nearly all that its moves bring, the best first; what a
    move brings is what of its fruit would not be ready if it stayed. 0 where nothing is known."""
    gains = []
    for line in plan.lines:
        delay, share = if_left.get(line), line.expected_ready_share
        if delay is None or share <= 0.0:
            continue
        lost = max(1.0 - delay.never / share, 0.0) * line.expected_value_minor
        gains.append((lost, _moves(line)))
    whole, so_far, moves = sum(lost for lost, _ in gains), 0.0, 0
    if whole <= 0.0:
        return 0
    for lost, steps in sorted(gains, key=lambda gain: -gain[0] / gain[1]):
        so_far, moves = so_far + lost, moves + steps
        if so_far >= _NEARLY_ALL * whole:
            break
    return moves


def _moves(line: "PlannedItinerary") -> int:
    """How often crates of a line are carried before they are sold."""
    return len(line.steps) + line.second_grade if line.batch_id else 0
