"""Small random problems, and a checker of plans that knows nothing of how they are made."""

from dataclasses import replace

import numpy as np

from ripenroom.planning.problem import FREE, NO_WANT, Itineraries, Problem, Wants
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

EVENINGS = 6


def problem(
    seed: int,
    batches: int = 4,
    wants: int = 3,
    places: int = 3,
    most_crates: int = 4,
    capacity: float | None = None,
    missing: float = 0.2,
    overfull: bool = False,
) -> Problem:
    """A random problem; every batch stands somewhere and may be moved on some evenings.

    A share ``missing`` of pairs of batch and want cannot meet. Of its places the first has no
    limit, the others hold ``capacity`` or a few crates, and at least what can stand there, unless
    they may be ``overfull``.
    """
    rng = np.random.default_rng(seed)
    crates = rng.integers(0, most_crates + 1, batches)
    want_evening = np.sort(rng.integers(1, EVENINGS + 1, wants))
    home = rng.integers(0, places, batches)
    rows: list[tuple[int, int, int, int, float, list[tuple[int, int, int]]]] = []
    for batch in range(batches):
        for want in range(wants):
            if rng.random() < missing:
                continue
            until, here = int(want_evening[want]), int(home[batch])
            rows.append((batch, want, here, -1, rng.random(), [(here, 0, until), (0, 0, 0)]))
            for pull in range(until):
                if rng.random() < 0.4:
                    place = int(rng.integers(0, places))
                    stays = [(here, 0, pull), (place, pull, until)]
                    rows.append((batch, want, place, pull, rng.random(), stays))
    for batch in range(batches):
        here, until = int(home[batch]), int(rng.integers(0, EVENINGS + 1))
        rows.append((batch, NO_WANT, here, -1, 0.0, [(here, 0, until), (0, 0, 0)]))
    listed = [stay for row in rows for stay in row[5]]
    taken = np.array(listed, dtype=np.intp).reshape(-1, 2, 3)
    ways = Itineraries(
        batch=np.array([row[0] for row in rows], dtype=np.intp),
        want=np.array([row[1] for row in rows], dtype=np.intp),
        first_place=np.full(len(rows), -1),
        first=np.full(len(rows), -1),
        place=np.array([row[2] for row in rows], dtype=np.intp),
        pull=np.array([row[3] for row in rows], dtype=np.intp),
        share=np.array([row[4] for row in rows]),
        handling=np.array([rng.uniform(0.0, 30.0) * (row[3] >= 0) for row in rows]),
        reserve=np.zeros(len(rows)),
        kept=np.zeros(len(rows), dtype=bool),
        fixed=np.full(len(rows), FREE),
        stay_place=taken[:, :, 0].astype(np.int16),
        stay_from=taken[:, :, 1].astype(np.int16),
        stay_until=taken[:, :, 2].astype(np.int16),
        stay_new=np.array([[False, row[3] >= 0] for row in rows], dtype=bool).reshape(-1, 2),
    )
    room = np.repeat(rng.integers(0, 5, places)[:, None].astype(float), EVENINGS, axis=1)
    if capacity is not None:
        room[:] = capacity
    room[0] = np.inf
    made = Problem(
        crates=crates.astype(np.intp),
        fruit_per_crate=rng.uniform(8.0, 30.0, batches),
        wants=Wants(
            rng.integers(0, 60, wants).astype(float),
            rng.integers(0, 200, wants).astype(float),
            (want_evening * 24.0 - 10.0).astype(float),
            np.zeros(wants, bool),
            np.zeros(wants, bool),
        ),
        ways=ways,
        room=room,
    )
    return made if overfull else replace(made, room=np.maximum(room, can_stand(made)))


def decided(given: Problem, seed: int) -> Problem:
    """The same problem with some crates decided, some of them where there is no room for them."""
    rng = np.random.default_rng(seed)
    left = given.crates.copy()
    fixed = np.full(given.ways.size, FREE)
    for way in rng.permutation(given.ways.size)[:3].tolist():
        batch = given.ways.batch[way]
        if given.ways.want[way] != NO_WANT and left[batch]:
            fixed[way] = rng.integers(0, left[batch] + 1)
            left[batch] -= fixed[way]
    stay_new = given.ways.stay_new & (fixed == FREE)[:, None]
    problem = replace(given, ways=replace(given.ways, fixed=fixed, stay_new=stay_new))
    return replace(problem, room=np.maximum(problem.room, can_stand(problem)))


def with_reserve(given: Problem, seed: int) -> Problem:
    """The same problem where half of the itineraries have something held in reserve."""
    rng = np.random.default_rng(seed)
    reserve = rng.uniform(0.0, 0.3, given.ways.size) * (rng.random(given.ways.size) < 0.5)
    return replace(given, ways=replace(given.ways, reserve=reserve))


def with_second_grade(given: Problem, price: float = 5.0) -> Problem:
    """The same problem with its last want for second grade, at a low price."""
    second = np.arange(given.wants.fruit.size) == given.wants.fruit.size - 1
    wants = replace(given.wants, second=second, price=np.where(second, price, given.wants.price))
    return replace(given, wants=wants)


def load(given: Problem, crates: Indices | Floats, only_new: bool = False) -> Floats:
    """Crates in each place on each evening, counted one by one."""
    counted = np.zeros(given.room.shape)
    for way in np.flatnonzero(crates).tolist():
        number = crates[way]
        stays = zip(
            given.ways.stay_place[way],
            given.ways.stay_from[way],
            given.ways.stay_until[way],
            given.ways.stay_new[way],
            strict=True,
        )
        for place, begin, until, new in stays:
            for evening in range(begin, until):
                counted[place, evening] += number if new or not only_new else 0
    return counted


def can_stand(given: Problem) -> Floats:
    """The most that can be in each place on each evening without any new move, batch by batch."""
    counted = load(given, given.fixed)
    left = given.crates - np.bincount(given.ways.batch, given.fixed, minlength=given.crates.size)
    for batch, crates in enumerate(left):
        there = np.zeros(given.room.shape, dtype=bool)
        for way in np.flatnonzero((given.ways.batch == batch) & (given.ways.fixed == FREE)):
            one = np.arange(given.ways.size) == way
            there |= load(given, one) > load(given, one, only_new=True)
        counted += crates * there
    return counted


def too_full(given: Problem, crates: Indices | Floats) -> np.ndarray:
    """Where something new is brought although there is no room for all that is there then."""
    new = load(given, crates, only_new=True) > 1e-6
    return np.asarray(new & (load(given, crates) > given.room + 1e-6))


def faults(given: Problem, crates: Indices) -> list[str]:
    """Everything that is wrong with a plan."""
    found = []
    if crates.shape != given.ways.batch.shape or crates.dtype.kind != "i":
        found.append("not whole crates on each itinerary")
    if (crates < 0).any():
        found.append("fewer than no crates")
    for batch, there in enumerate(given.crates):
        if crates[given.ways.batch == batch].sum() > there:
            found.append(f"batch {batch} has too few crates")
    for way in np.flatnonzero(given.ways.fixed != FREE).tolist():
        if crates[way] != given.ways.fixed[way]:
            found.append(f"itinerary {way} is not as decided")
    found += [
        f"place {place} is too full on evening {evening}"
        for place, evening in np.argwhere(too_full(given, crates))
    ]
    return found


def worth(given: Problem, crates: Indices) -> float:
    """Worth of a plan, want by want, less what its moves cost."""
    total = -sum(
        float(number * cost) for number, cost in zip(crates, given.ways.handling, strict=True)
    )
    for want, (fruit, price) in enumerate(zip(given.wants.fruit, given.wants.price, strict=True)):
        brought = sum(
            number
            * given.ways.share[way]
            * (1.0 - given.ways.reserve[way])
            * given.fruit_per_crate[given.ways.batch[way]]
            for way, number in enumerate(crates)
            if given.ways.want[way] == want
        )
        total += price * min(brought, fruit)
        if not given.wants.second[want]:
            total += 0.5 * price * max(0.0, min(brought - fruit, 0.25 * fruit))
    return total
