"""The linear programme of a plan in which crates may be cut (not whole), as tables.

Unknowns are crates on each itinerary, the fruit sold for each want at the full and at the lower
price, and the crates in each place on each evening. Balancing the last from one evening to the
next needs two entries for each stay, where summing over every evening would need one for each.

A place may hold more than it can by what stands there, but then nothing new may come: either it is
eased first, or it is shut. Where ``standing`` crates can be in a room for fewer, the nearest that
a linear programme can come to this is that each new crate takes up the room of standing / room.
That bounds all plans; then the programme is solved again with what it left too full shut, or eased.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.planning.problem import MORE_PRICE, NO_WANT, Problem
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

if TYPE_CHECKING:
    from scipy.sparse import csr_array

_NO_CRATE = 1e-6
"""A part of a crate below this comes from the rounding of numbers."""


@dataclass(frozen=True, slots=True)
class LinearProgramme:
    """``maximise gain @ y``, ``most @ y <= limit``, ``even @ y = 0``, ``lowest <= y <= highest``.

    The first unknowns are the itineraries', whose gain is less their handling and waiting.
    """

    gain: Floats
    most: "csr_array"
    limit: Floats
    even: "csr_array"
    lowest: Floats
    highest: Floats


def programme(problem: Problem, gains: Floats, closed: np.ndarray | None = None) -> LinearProgramme:
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
    return LinearProgramme(
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
