"""Stays, and the temperature pulp arrives with."""

import numpy as np
import pytest

from ripenroom.science.air import ScheduledAir
from ripenroom.science.journey import Stays, pulp_differences_k, settled_pulp_c
from tests.science.journeys import stays_of

ROOM = ScheduledAir([0.0], [22.0], half_cooling_h=6.0)
COLD = ScheduledAir([0.0], [4.0], half_cooling_h=4.0)
SHED = ScheduledAir([0.0], [15.0], half_cooling_h=10.0, swing_k=5.0, warmest_h=15.0)
AIRS = [ROOM, COLD, SHED]

STAYS = stays_of([[(0.0, 0), (12.0, 1), (36.0, 2)], [(5.0, 1)], [(3.0, 2), (3.0, 0)]])


def test_a_stay_has_begun_at_its_very_hour() -> None:
    hours = np.array([[0.0, 11.999, 12.0, 35.999, 36.0, 999.0]])
    one = Stays(STAYS.start_h[:1], STAYS.place[:1])
    assert one.at(hours).tolist() == [[0, 0, 1, 1, 2, 2]]


def test_before_the_pick_it_is_the_first_stay() -> None:
    assert STAYS.at(np.full((3, 1), -7.0)).tolist() == [[0], [0], [0]]


def test_padding_has_no_length_but_for_the_endless_last() -> None:
    length = STAYS.end_h - STAYS.start_h
    assert length.tolist() == [[12.0, 24.0, np.inf], [0.0, 0.0, np.inf], [0.0, 0.0, np.inf]]


def test_entries_follow_the_stay() -> None:
    table = np.array([[10, 11, 12], [20, 21, 22], [30, 31, 32]])
    stay = np.array([[2, 0], [1, 1], [0, 2]])
    assert Stays.entry(table, stay).tolist() == [[12, 10], [21, 21], [30, 32]]
    assert Stays.entry(table[:, :1], np.zeros((3, 2), np.intp)).tolist() == [[10], [20], [30]]


def test_some_lines_only() -> None:
    some = STAYS.of(np.array([2, 2, 0]))
    assert some.start_h.tolist() == [[3.0, 3.0, 3.0], [3.0, 3.0, 3.0], [0.0, 12.0, 36.0]]
    assert some.place.tolist() == [[2, 0, 0], [2, 0, 0], [0, 1, 2]]


def test_settled_pulp_of_mixed_places() -> None:
    place = np.array([[0, 1], [2, 1]])
    hours = np.array([[1.0, 2.0], [3.0, 4.0]])
    settled = settled_pulp_c(place, hours, AIRS)
    assert settled.tolist() == [[22.0, 4.0], [float(SHED.pulp_c(3.0)), 4.0]]
    # One axis more for quadrature nodes.
    nodes = settled_pulp_c(place[0], np.array([[1.0, 9.0], [2.0, 3.0]]), AIRS)
    assert nodes.tolist() == [[22.0, 22.0], [4.0, 4.0]]


def test_pulp_not_measured_is_settled_in_its_first_place() -> None:
    differences = pulp_differences_k(STAYS, AIRS, np.full(3, np.nan))
    assert differences[:, 0].tolist() == [0.0, 0.0, 0.0]


def test_pulp_carries_its_temperature_from_place_to_place() -> None:
    differences = pulp_differences_k(STAYS, AIRS, np.array([30.0, np.nan, np.nan]))
    first = 30.0 - 22.0
    leaving = 22.0 + first * 2 ** (-12.0 / 6.0)
    assert differences[0, :2].tolist() == pytest.approx([first, leaving - 4.0])
    leaving_cold = 4.0 + (leaving - 4.0) * 2 ** (-24.0 / 4.0)
    assert differences[0, 2] == pytest.approx(leaving_cold - float(SHED.pulp_c(36.0)))


def test_moved_at_the_hour_of_the_pick_it_is_settled_in_the_place_it_leaves() -> None:
    differences = pulp_differences_k(STAYS, AIRS, np.full(3, np.nan))
    assert differences[2, 1] == pytest.approx(float(SHED.pulp_c(3.0)) - 22.0)


def test_padding_repeats_the_difference_of_the_last_stay() -> None:
    differences = pulp_differences_k(STAYS, AIRS, np.array([np.nan, 19.0, np.nan]))
    assert differences[1].tolist() == [15.0, 15.0, 15.0]
    assert differences[2, 2] == differences[2, 1]


def test_repeats_at_the_end_are_trimmed_and_one_more_stay_takes_their_place() -> None:
    stays = stays_of([[(0.0, 0)], [(1.0, 1), (5.0, 0), (5.0, 2)]])
    assert stays.counts().tolist() == [1, 3]
    assert stays.trimmed() is stays
    first = stays.of(np.array([0, 0]))
    assert first.trimmed().start_h.tolist() == [[0.0], [0.0]]
    more = stays.and_then(np.array([7.0, 9.0]), np.array([2, 1]))
    assert more.start_h.tolist() == [[0.0, 7.0, 7.0, 7.0], [1.0, 5.0, 5.0, 9.0]]
    assert more.place.tolist() == [[0, 2, 2, 2], [1, 0, 2, 1]]
