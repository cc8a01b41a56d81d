"""What every profile tells of its errors is what its published statements come to today."""

import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.outside.errors import Errors, errors_by_crop, table
from tests.outside.statements import Role, Statement


@pytest.fixture(scope="module")
def errors() -> dict[str, Errors]:
    return errors_by_crop()


@pytest.mark.parametrize("crop", sorted(shipped_profiles()))
def test_a_profile_tells_its_worst_error_and_of_how_many_statements(
    errors: dict[str, Errors], crop: str
) -> None:
    held_to = shipped_profiles()[crop].held_to
    assert held_to is not None
    assert held_to.statements == len(errors[crop].checks) > 0
    assert held_to.error_pct == pytest.approx(errors[crop].worst_pct, abs=1.0)


def test_every_statement_is_about_a_crop_that_ships(errors: dict[str, Errors]) -> None:
    assert set(errors) == set(shipped_profiles())


def said(what: str, role: Role, model: float) -> Statement:
    return Statement("plum", what, "somebody | 1990", role, 9.0, 11.0, lambda: model)


def test_the_table_names_the_worst_and_leaves_out_what_set_the_profile() -> None:
    checks = [said("plum, near", Role.CHECK, 10.0), said("plum, far", Role.CHECK, 13.41)]
    found = Errors(fitted=3, checks=tuple((check, check.error_pct()) for check in checks))
    assert (found.worst[0].what, found.worst_pct) == ("plum, far", 25)
    assert found.median_pct == pytest.approx(12.05)
    assert table({"plum": found}).splitlines()[2:] == [
        "| plum | firmness | 3 | 2 | 25 | 12 | far (somebody / 1990) |"
    ]


def test_what_never_happens_is_infinitely_far_off() -> None:
    never = said("never", Role.CHECK, float("nan"))
    found = Errors(fitted=0, checks=((never, never.error_pct()),))
    assert found.worst_pct == float("inf")
    assert "| inf |" in table({"plum": found})
