"""Batch codes."""

from datetime import date

from ripenroom.season.batch_codes import Codes, split_code

DAY = date(2026, 9, 14)


def test_numbers_go_on_beyond_the_highest_there_is() -> None:
    taken = ["P-0914-2", "P-0914-11", "P-0913-40", "E-0914-50"]
    assert Codes(taken).next("P", DAY, 2) == ["P-0914-12", "P-0914-13"]


def test_the_first_of_a_day_is_number_one() -> None:
    assert Codes().next("A", date(2026, 1, 5)) == ["A-0105-1"]
    assert Codes().next("A", DAY, 0) == []


def test_codes_of_other_programs_are_passed_over() -> None:
    others = ["P-0914-", "P-0914-x", "P-0914-²", "p-0914-7", "P-0914-" + "9" * 5000]
    assert Codes(others).next("P", DAY) == ["P-0914-1"]


def test_numbers_of_parts_whose_batch_is_gone_are_not_given_again() -> None:
    assert Codes(["P-0914-3b"]).next("P", DAY) == ["P-0914-4"]


def test_a_code_that_was_given_is_not_given_again() -> None:
    codes = Codes(["P-0914-1"])
    codes.take(codes.next("P", DAY)[0])
    assert codes.next("P", DAY) == ["P-0914-3"]


def test_parts_have_their_batch_s_code_with_the_next_letter() -> None:
    assert split_code("P-0914-2", ["P-0914-2", "P-0914-21a"]) == "P-0914-2a"
    assert split_code("P-0914-2", ["P-0914-2", "P-0914-2a", "P-0914-2c"]) == "P-0914-2d"
    assert split_code("P-0914-2c", ["P-0914-2a", "P-0914-2c"]) == "P-0914-2d"


def test_letters_go_on_after_z() -> None:
    taken = ["P-1-1"]
    for _ in range(60):
        taken.append(split_code("P-1-1", taken))
    assert taken[26:29] == ["P-1-1z", "P-1-1aa", "P-1-1ab"]
    assert len(set(taken)) == 61


def test_a_code_that_ends_in_no_number_gets_a_dash() -> None:
    assert split_code("Windfall", ["Windfall"]) == "Windfall-a"
    assert split_code("Windfall", ["Windfall", "Windfall-a"]) == "Windfall-b"
