"""Batch codes."""

from datetime import date

from ripenroom.season.codes import next_codes

DAY = date(2026, 9, 14)


def test_numbers_go_on_beyond_the_highest_there_is() -> None:
    taken = ["P-0914-2", "P-0914-11", "P-0913-40", "E-0914-50"]
    assert next_codes("P", DAY, taken, 2) == ["P-0914-12", "P-0914-13"]


def test_the_first_of_a_day_is_number_one() -> None:
    assert next_codes("A", date(2026, 1, 5), [], 1) == ["A-0105-1"]
    assert next_codes("A", DAY, [], 0) == []


def test_codes_of_other_programs_are_passed_over() -> None:
    assert next_codes("P", DAY, ["P-0914-", "P-0914-x", "P-0914-²", "p-0914-7"], 1) == ["P-0914-1"]
