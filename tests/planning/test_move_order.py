"""Crates are carried in an order in which every room has space for them."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.move_order import NOWHERE, Carry, CarryOrder, in_order
from tests.draws import draws

FULL, INF = 0.0, float("inf")


def order(carries: list[Carry], free: list[float]) -> CarryOrder:
    """The order, replayed first by someone who only knows how many crates fit."""
    found = in_order(carries, free)
    assert wrong(carries, free, found) == []
    return found


def wrong(carries: list[Carry], free: list[float], found: CarryOrder) -> list[str]:
    """What cannot be done of an order, step by step."""
    faults, room = [], list(free)
    for step in found.steps:
        for number in step:
            room[carries[number].source] += carries[number].crates
        for number in step:
            if carries[number].target != NOWHERE:
                room[carries[number].target] -= carries[number].crates
        full = {carries[number].target for number in step} - {NOWHERE}
        faults += [f"{step}: {room[place]} left in {place}" for place in full if room[place] < 0]
    numbers = sorted([*found.no_room, *(number for step in found.steps for number in step)])
    if numbers != list(range(len(carries))):
        faults.append(f"{numbers} are done or left out")
    return faults


def test_what_goes_out_makes_room_for_what_comes_in() -> None:
    assert order([Carry(2, 0, 1), Carry(2, 1, 2)], [FULL, FULL, 5.0]).steps == ((1,), (0,))


def test_what_leaves_the_farm_goes_first() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 1, NOWHERE)]
    assert order(carries, [FULL, 3.0]).steps == ((1,), (0,))


def test_a_free_place_is_passed_on_before_it_is_filled_for_good() -> None:
    """One crate fits into 1. Were it filled from 0, where nobody waits to get in, 2 and 1 would
    have to be swapped."""
    carries = [Carry(1, 0, 1), Carry(1, 2, 1), Carry(1, 1, 2)]
    assert order(carries, [FULL, 1.0, FULL]).steps == ((1,), (2,), (0,))


def test_what_goes_to_one_place_is_carried_together_where_it_fits() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 2, 3), Carry(1, 3, 1), Carry(1, 1, NOWHERE)]
    roomy = [carries[step[0]].target for step in order(carries, [INF] * 4).steps]
    assert roomy.count(1) == 2
    assert abs(roomy.index(1) - (len(roomy) - 1 - roomy[::-1].index(1))) == 1
    # Where one of them has to wait for room, the others are not held up.
    assert order(carries, [FULL, 1.0, FULL, FULL]).no_room == ()


def test_two_full_rooms_are_swapped() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 1, 0), Carry(1, 0, 2)]
    assert order(carries, [FULL, FULL, FULL]).no_room == (2,)
    assert order(carries[:2], [FULL, FULL]).steps == ((0, 1),)
    # As soon as one of them has a free place, there is nothing to swap.
    assert [len(step) for step in order(carries[:2], [FULL, 1.0]).steps] == [1, 1]


def test_a_circle_of_full_rooms_is_one_swap() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 1, 2), Carry(1, 2, 0)]
    assert order(carries, [FULL, FULL, FULL]).steps == ((0, 1, 2),)


def test_a_large_lot_is_swapped_for_several_small_ones() -> None:
    carries = [Carry(2, 0, 1), Carry(1, 1, 0), Carry(1, 1, 0)]
    (swap,) = order(carries, [FULL, FULL]).steps
    assert sorted(swap) == [0, 1, 2]


def test_no_swap_is_larger_than_it_must_be() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 1, 2), Carry(1, 1, 0), Carry(1, 2, 1)]
    steps = order(carries, [FULL, FULL, FULL]).steps
    assert sorted(len(step) for step in steps) == [2, 2]


def test_a_room_with_too_much_in_it_is_eased_before_anything_comes() -> None:
    carries = [Carry(1, 0, 1), Carry(3, 1, 2), Carry(1, 1, 2)]
    assert order(carries, [FULL, -3.0, INF]).steps[-1] == (0,)


@pytest.mark.parametrize("free", [0.0, 1.0, -4.0])
def test_what_has_no_room_whatever_goes_out_is_left_out(free: float) -> None:
    carries = [Carry(2, 0, 1), Carry(1, 0, 2)]
    found = order(carries, [FULL, free, 3.0])
    assert (found.steps, found.no_room) == (((1,),), (0,))


def test_one_goes_on_between_the_same_two_places() -> None:
    carries = [Carry(1, 0, 1), Carry(1, 2, 3), Carry(1, 0, 1)]
    assert order(carries, [INF] * 4).steps == ((0,), (2,), (1,))


def test_nothing_to_carry() -> None:
    assert order([], [1.0]) == CarryOrder((), ())


PLACES = 4


@st.composite
def evenings(draw: st.DrawFn, most_crates: int, most: int) -> tuple[list[Carry], list[float]]:
    """Carries that all fit by the end of the evening, and what is free before; seldom much."""
    place = st.integers(0, PLACES - 1)
    some = st.tuples(st.integers(1, most_crates), place, place).filter(lambda c: c[1] != c[2])
    carries = [Carry(*one) for one in draw(st.lists(some, max_size=most))]
    leaves = st.builds(lambda crates, source: Carry(crates, source, NOWHERE), st.just(1), place)
    carries += draw(st.lists(leaves, max_size=1))
    free = []
    for number in range(PLACES):
        comes = sum(carry.crates for carry in carries if carry.target == number)
        goes = sum(carry.crates for carry in carries if carry.source == number)
        spare = draw(st.sampled_from((0, 0, 0, 0, 1, 2)))
        free.append(float(comes - goes + spare if comes else draw(st.integers(-2, 2))))
        if comes and not draw(st.booleans()):
            # A room may be too full before, but no more is free than if nobody moved.
            free[-1] = max(free[-1], 0.0)
    return carries, free


@draws(300)
@given(evenings(most_crates=4, most=9))
def test_every_evening_that_can_end_well_is_carried_out(
    evening: tuple[list[Carry], list[float]],
) -> None:
    carries, free = evening
    assert order(carries, free).no_room == ()


@draws(200)
@given(evenings(most_crates=1, most=5))
def test_crates_are_swapped_only_where_no_order_does_without(
    evening: tuple[list[Carry], list[float]],
) -> None:
    carries, free = evening
    swapped = any(len(step) > 1 for step in order(carries, free).steps)
    one_by_one = any(
        not wrong(carries, free, CarryOrder(tuple((number,) for number in way), ()))
        for way in permutations(range(len(carries)))
    )
    assert swapped != one_by_one or not carries


@draws(100)
@given(evenings(most_crates=3, most=7), st.lists(st.integers(-3, 3), min_size=4, max_size=4))
def test_what_does_not_fit_is_left_out_and_the_rest_is_right(
    evening: tuple[list[Carry], list[float]], less: list[int]
) -> None:
    carries, free = evening
    order(carries, [room - by for room, by in zip(free, less, strict=True)])


def test_what_is_due_earlier_goes_first_where_it_has_room() -> None:
    """The first would go first, being carried between places that come first."""
    carries = [Carry(1, 0, 1), Carry(1, 2, 3), Carry(1, 0, 3)]
    due_h = [18.0, 17.5, 18.0]
    assert in_order(carries, [INF] * 4).steps == ((0,), (2,), (1,))
    found = in_order(carries, [INF] * 4, due_h)
    assert wrong(carries, [INF] * 4, found) == []
    assert found.steps == ((1,), (2,), (0,))
    # What makes room for it goes before it all the same.
    carries = [Carry(1, 0, 1), Carry(1, 1, 2)]
    found = in_order(carries, [FULL, FULL, INF], [17.5, 18.0])
    assert found.steps == ((1,), (0,))


@given(
    st.lists(
        st.tuples(
            st.integers(1, 3), st.integers(0, 3), st.integers(-1, 3), st.sampled_from([17.5, 18.0])
        ),
        min_size=1,
        max_size=7,
    ),
    st.lists(st.integers(0, 4), min_size=4, max_size=4),
)
@draws(100)
def test_by_their_times_all_still_fit_and_no_neighbours_are_the_wrong_way_round(
    drawn: list[tuple[int, int, int, float]], free: list[int]
) -> None:
    carries = [Carry(n, source, target) for n, source, target, _ in drawn if source != target]
    due_h = [at for _, source, target, at in drawn if source != target]
    room = [float(crates) for crates in free]
    found = in_order(carries, room, due_h)
    assert wrong(carries, room, found) == []
    assert found.no_room == in_order(carries, room).no_room
