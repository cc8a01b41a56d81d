"""The report says what was fitted, what the profile has, and what was held out."""

import re

import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.fits.__main__ import main
from tests.fits.points import Point
from tests.fits.report import report
from tests.fits.subjects import ripening, span
from tests.outside.statements import Role

PEAR = shipped_profiles()["pear"]


def point(celsius: float, role: Role, slower: float = 1.0) -> Point:
    """A duration as the profile's own line has it, or ``slower`` times as long."""
    subject = ripening(PEAR)
    rate = subject.per_day * float(subject.response(subject.slope_kj_mol).relative_rate(celsius))
    return Point("days to ripe", celsius, slower * span("days to ripe", PEAR) / rate, "s", role)


def test_points_from_the_profile_give_ratios_of_one() -> None:
    lines = list(report(PEAR, [point(c, Role.FIT) for c in (5.0, 12.0, 20.0)]))
    assert lines[0] == "  ripening: 3 fitted, 0 held out"
    assert [re.findall(r"ratio (\S+)", line) for line in lines[1:]] == [["1.00"], ["1.00"]]


def test_held_out_points_change_nothing_and_are_compared() -> None:
    fit = [point(c, Role.FIT) for c in (5.0, 12.0, 20.0)]
    alone = list(report(PEAR, fit))
    lines = list(report(PEAR, [*fit, point(15.0, Role.CHECK, slower=2.0)]))
    assert lines[1:3] == alone[1:]
    assert lines[3].startswith("    held out: days to ripe at 15 C")
    assert lines[3].endswith("(-50 %)")


def test_without_points_to_fit_the_profile_is_compared() -> None:
    lines = list(report(PEAR, [point(15.0, Role.CHECK)]))
    assert "nothing to fit" in lines[1]
    assert lines[2].endswith("(+0 %)")


def test_what_is_not_understood_is_listed() -> None:
    strange = Point("days to glory", 20.0, 3.0, "s", Role.FIT)
    assert list(report(PEAR, [strange])) == [
        "  not used: days to glory at 20 C, 3 days (s) (not understood: glory)"
    ]


def test_the_script_goes_through_one_crop(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["apple"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("apple\n  storage life: 4 fitted, 4 held out\n")


def test_a_crop_without_points_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["medlar"]) == 2
    assert "no points for medlar; there are: " in capsys.readouterr().err
