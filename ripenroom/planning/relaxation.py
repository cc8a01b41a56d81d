"""The linear programme: crates may be cut, so its answer bounds what any whole plan can be worth.

Unknowns are crates on each itinerary, the fruit sold for each want at the full and at the lower
price, and the crates in each place on each evening. Balancing the last from one evening to the
next needs two entries for each stay, where summing over every evening would need one for each.

A place may hold more than it can by what stands there, but then nothing new may come: either it is
eased first, or it is shut. Where ``standing`` crates can be in a room for fewer, the nearest that
a linear programme can come to this is that each new crate takes up the room of standing / room.
That bounds all plans; then the programme is solved again with what it left too full shut, or eased.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.planning.problem import MORE_PRICE, NO_WANT, Problem
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult
    from scipy.sparse import csr_array

HANDLING = 0.03
"""What moving a crate once costs, in parts of what a usual crate is worth: a few minutes' work at
a stall-holder's wage (an estimate)."""

_NO_CRATE = 1e-6
"""A part of a crate below this comes from the rounding of numbers."""

MOVE_COST = 1e-4
KEPT_GAIN = 2e-4
LEFT_GAIN = 5e-5
EARLY_GAIN = 1e-6
"""What breaks ties, in parts of a crate's worth: a move costs, what is planned already and what
can be left where it is gains, and so does each evening by which a place is free earlier. All are
far below what a plan can be off by, and far above the solver's tolerance."""


@dataclass(frozen=True, slots=True)
class Programme:
    """``maximise gain @ y``, ``most @ y <= limit``, ``even @ y = 0``, ``lowest <= y <= highest``.

    The first unknowns are the itineraries', whose gain is less their handling and waiting.
    """

    gain: Floats
    most: "csr_array"
    limit: Floats
    even: "csr_array"
    lowest: Floats
    highest: Floats


def crate_worth(problem: Problem) -> float:
    """What a crate is worth in the middle: the unit of small gains and costs."""
    worth = worth_alone(problem)
    return float(np.median(worth[worth > 0.0])) if (worth > 0.0).any() else 1.0


def worth_alone(problem: Problem) -> Floats:
    """What the fruit of one crate on each itinerary is worth at the full price."""
    price = np.append(problem.wants.price, 0.0)
    return np.asarray(problem.fruit * price[problem.ways.want])


def with_handling(problem: Problem) -> Problem:
    """The problem with what moves cost: it tells which of them are worth the walk."""
    cost = np.asarray(move_cost(problem) * problem.ways.moves, dtype=float)
    return replace(problem, ways=replace(problem.ways, handling=cost))


def move_cost(problem: Problem) -> float:
    """What it costs to move a crate once, in the prices' unit."""
    return HANDLING * crate_worth(problem)


def small_gains(problem: Problem) -> Floats:
    """What breaks ties between itineraries, by crate, in the prices' unit."""
    ways = problem.ways
    left = ways.left
    evenings = problem.room.shape[1]
    last = ways.stay_until.max(axis=1, initial=0).astype(np.intp)
    gains = (
        KEPT_GAIN * ways.kept
        + LEFT_GAIN * left
        + EARLY_GAIN * np.where(left, 0, evenings - last)
        - MOVE_COST * ways.moves
    )
    return np.asarray(gains * crate_worth(problem))


def programme(problem: Problem, gains: Floats, closed: np.ndarray | None = None) -> Programme:
    """The programme of a problem, with the ``gains`` that break ties.

    ``closed`` (places, evenings) says where nothing new may come; elsewhere no more may stand than
    there is room for. Without it, both are left open: what the programme finds may be too full.
    """
    from scipy.sparse import csr_array

    ways, wants = problem.ways, problem.wants
    number, sells = np.arange(ways.size), ways.want != NO_WANT
    n_wants, n_batches = wants.fruit.size, problem.crates.size
    tight = problem.tight
    row_of = np.cumsum(tight) - 1
    standing = problem.standing()
    over = standing > problem.room
    room = np.where(over if closed is None else closed, standing, problem.room)[tight]
    evenings = room.shape[1]
    full, more = ways.size, ways.size + n_wants
    stored = ways.size + 2 * n_wants
    brought = stored + room.size
    # Only where room can be short for what is new does it matter how much of it is new.
    counted = tight & over.any(axis=1) if closed is None else np.zeros_like(tight)
    new_of = np.cumsum(counted) - 1
    cells = np.arange(room.size).reshape(room.shape)
    new_cells = np.arange(int(counted.sum()) * evenings).reshape(int(counted.sum()), evenings)
    unknowns = brought + new_cells.size
    crowded = over[counted]
    per_new = standing[counted][crowded] / np.maximum(problem.room[counted][crowded], 1.0)

    rows = [ways.batch, n_batches + ways.want[sells]]
    columns = [number, number[sells]]
    values = [np.ones(ways.size), -problem.fruit[sells]]
    for first in (full, more):
        rows.append(n_batches + np.arange(n_wants))
        columns.append(first + np.arange(n_wants))
        values.append(np.ones(n_wants))
    crowds = n_batches + n_wants + np.arange(per_new.size)
    rows += [crowds, crowds]
    columns += [stored + cells[counted[tight]][crowded], brought + new_cells[crowded]]
    values += [np.ones(per_new.size), per_new - 1.0]
    most = _sparse(csr_array, rows, columns, values, (n_batches + n_wants + per_new.size, unknowns))

    rows, columns, values = [], [], []
    for table, first, place_row, which in (
        (cells, stored, row_of, tight[ways.stay_place]),
        (new_cells, brought, new_of, counted[ways.stay_place] & ways.stay_new),
    ):
        offset = first - stored
        rows += [offset + table.ravel(), offset + table[:, 1:].ravel()]
        columns += [first + table.ravel(), first + table[:, :-1].ravel()]
        values += [np.ones(table.size), np.full(table[:, 1:].size, -1.0)]
        for stay in range(ways.stay_place.shape[1]):
            place = ways.stay_place[:, stay]
            begins, ends = ways.stay_from[:, stay], ways.stay_until[:, stay]
            taken = which[:, stay] & (ends > begins)
            leaves = taken & (ends < evenings)
            for evening, sign, some in ((begins, -1.0, taken), (ends, 1.0, leaves)):
                rows.append(offset + place_row[place[some]] * evenings + evening[some])
                columns.append(number[some])
                values.append(np.full(int(some.sum()), sign))
    even = _sparse(csr_array, rows, columns, values, (unknowns - stored, unknowns))

    crates = np.where(ways.free, problem.undecided[ways.batch], ways.fixed).astype(float)
    if closed is not None:
        crates[intruding(problem, closed)] = 0.0
    return Programme(
        gain=np.concatenate(
            [
                gains + problem.own_gain,
                wants.price,
                MORE_PRICE * wants.price,
                np.zeros(unknowns - stored),
            ]
        ),
        most=most,
        limit=np.concatenate(
            [problem.crates.astype(float), np.zeros(n_wants), standing[counted][crowded]]
        ),
        even=even,
        lowest=np.concatenate([problem.fixed.astype(float), np.zeros(unknowns - ways.size)]),
        highest=np.concatenate(
            [
                crates,
                wants.fruit,
                wants.more,
                room.ravel(),
                np.where(crowded, problem.room[counted], np.inf).ravel(),
            ]
        ),
    )


def intruding(problem: Problem, closed: np.ndarray) -> np.ndarray:
    """Which itineraries bring something new where nothing new may come."""
    ways = problem.ways
    evenings = closed.shape[1]
    until = np.concatenate(
        [np.zeros((closed.shape[0], 1), np.intp), np.cumsum(closed, axis=1)], axis=1
    )
    first, last = (np.minimum(e, evenings) for e in (ways.stay_from, ways.stay_until))
    there = until[ways.stay_place, np.maximum(first, last)] > until[ways.stay_place, first]
    return np.asarray((ways.stay_new & there).any(axis=1))


def shut(problem: Problem, crates: Indices | Floats) -> np.ndarray:
    """Where nothing new may come, (places, evenings): places that are too full in a plan even
    without what it brings there."""
    load, new = problem.load(crates), problem.new(crates)
    beyond = np.where(np.isfinite(problem.room), load - problem.room, 0.0)
    decided = problem.load(problem.fixed) > problem.room
    return np.asarray((beyond > _NO_CRATE) & ((beyond >= new) | decided))


def _sparse(
    kind: "type[csr_array]",
    rows: list[Indices],
    columns: list[Indices],
    values: list[Floats],
    shape: tuple[int, int],
) -> "csr_array":
    at = np.concatenate(rows), np.concatenate(columns)
    return kind((np.concatenate(values), at), shape=shape)


def _solved(model: Programme, scale: float, seconds: float) -> "OptimizeResult | None":
    """The programme's best answer with its duals, in units of ``scale``; None without one in so
    many ``seconds``."""
    from scipy.optimize import linprog

    answer = linprog(  # type: ignore[call-overload]  # its stubs know no sparse tables
        -model.gain / scale,
        A_ub=model.most,
        b_ub=model.limit,
        A_eq=model.even,
        b_eq=np.zeros(model.even.shape[0]),
        bounds=np.column_stack([model.lowest, model.highest]),
        method="highs",
        options={"time_limit": seconds},
    )
    return answer if answer.status == 0 else None


@dataclass(frozen=True, slots=True)
class Solution:
    """The ``best`` that cut crates can do, which may be too full somewhere, and the ``answer`` with
    its duals of the ``model`` in which this is mended: there nothing new comes where ``closed``.
    Answers are in units of ``scale``."""

    best: "OptimizeResult"
    answer: "OptimizeResult"
    model: Programme
    closed: np.ndarray
    scale: float


def solution(problem: Problem, gains: Floats, seconds: float) -> Solution | None:
    """The best plan with cut crates; None without one in so many ``seconds``."""
    scale = crate_worth(problem)
    model = programme(problem, gains)
    best = _solved(model, scale, seconds)
    if best is None:
        return None
    crates = best.x[: problem.ways.size]
    closed = shut(problem, crates)
    if not problem.overfull(crates).any():
        return Solution(best, best, model, closed, scale)
    model = programme(problem, gains, closed)
    answer = _solved(model, scale, seconds)
    return None if answer is None else Solution(best, answer, model, closed, scale)


def _of_left_out(problem: Problem, found: Solution) -> float:
    """What no plan with the itineraries that were left out can gain beyond the best without them:
    by the duals, as if they took up no room."""
    out = problem.left_out
    if out is None:
        return 0.0
    batches, wants = problem.crates.size, problem.wants.fruit.size
    duals = -np.asarray(found.best.ineqlin.marginals) * found.scale
    of_crate, of_fruit = duals[:batches], duals[batches : batches + wants]
    fruit = out.share * problem.fruit_per_crate[out.batch]
    gain = fruit * (of_fruit - problem.less_for_waiting)[out.want] - of_crate[out.batch]
    most = np.zeros(batches)
    np.maximum.at(most, out.batch, gain)
    return float(most @ problem.crates)


@dataclass(frozen=True, slots=True)
class Relaxed:
    """``crates`` on each itinerary if they may be cut, the ``bound`` on the worth of any plan, and
    by how much each itinerary falls ``short`` of being used (in the prices' unit, by crate). Not
    ``solved`` if time ran out."""

    crates: Floats
    bound: float
    short: Floats
    solved: bool


def relaxed(problem: Problem, seconds: float) -> Relaxed:
    """The best plan with cut crates; ``bound`` is above the worth of any whole one, also of one
    that uses what was left out for its number.

    Without an answer in ``seconds`` all that is not decided is left where it is, and the bound is
    that all that is wanted is sold.
    """
    gains = small_gains(problem)
    found = solution(problem, gains, seconds)
    ways = problem.ways
    everything = float(problem.wants.value(np.full(problem.wants.fruit.size, np.inf)).sum())
    later = np.zeros(problem.crates.size)
    np.maximum.at(later, ways.batch, problem.later)
    everything += float(later @ problem.crates)
    if found is None:
        left = problem.as_they_stand.astype(float)
        return Relaxed(left, everything, np.zeros(ways.size), False)
    # The small gains are no worth: whatever they may have cost the best plan is allowed for.
    least_gain = np.zeros(problem.crates.size)
    np.minimum.at(least_gain, ways.batch, gains)
    bound = -float(found.best.fun) * found.scale - float(least_gain @ problem.crates)
    bound += _of_left_out(problem, found)
    short = np.asarray(found.answer.lower.marginals[: ways.size]) * found.scale
    crates = np.asarray(found.answer.x[: ways.size])
    return Relaxed(crates, min(bound, everything), short, True)
