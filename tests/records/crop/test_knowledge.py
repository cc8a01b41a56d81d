"""What a profile knows beside its clock: read as written, refused by its key."""

from pathlib import Path

import pytest

from ripenroom.records.crop.knowledge import log_interpolated
from ripenroom.records.crop.profile import LeftOutSources
from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.made import HELD, WINTER, refusal_of

MORE = """
[[respiration]]
at_c = 0
rate = { value = 4, low = 3, high = 5, unit = "ml CO2/kg h", source = "made" }
[[respiration]]
at_c = 20
rate = { value = 40, low = 30, high = 60, unit = "mg CO2/kg h", source = "made" }

[ethylene]
produces = "very high"
responds = "low"
source = "made"
dose = { value = 100, low = 10, high = 150, unit = "ppm", source = "made" }
hours = { value = 24, low = 12, high = 48, unit = "h", source = "made" }

[left_out]
sources = 5
statements = 9
median_pct = 12.5
tenth_pct = 40
worst_pct = 73
in_range = 7
"""
FULL = WINTER + MORE
FREEZING = (
    'best_high_c = 0\nfreezing = { value = 29, low = 28, high = 30, unit = "F", source = "made" }'
)


def test_everything_is_read_in_our_units() -> None:
    text = FULL.replace("best_high_c = 0", FREEZING)
    text = text.replace("per_crate =", 'package = "bushel"\npackage_source = "made"\nper_crate =')
    profile = load_profile_text(text.replace("groups = []", 'groups = []\nabout = "Late."'), Path())
    cold, warm = profile.respiration
    # A litre of carbon dioxide weighs 1.977 g at 0 C and one atmosphere.
    assert (cold.temperature_c, warm.temperature_c) == (0.0, 20.0)
    assert cold.mg_kg_h.value == pytest.approx(4 * 1.977)
    assert cold.mg_kg_h.high == pytest.approx(5 * 1.977)
    assert warm.mg_kg_h.value == 40.0
    assert profile.ethylene is not None
    assert (profile.ethylene.produces, profile.ethylene.responds) == ("very high", "low")
    assert profile.ethylene.dose_ppm is not None
    assert profile.ethylene.dose_ppm.low == 10.0
    assert profile.ethylene.hours is not None
    assert profile.ethylene.hours.high == 48.0
    assert profile.left_out == LeftOutSources(
        sources=5, statements=9, median_pct=12.5, tenth_pct=40.0, worst_pct=73.0, in_range=7
    )
    assert profile.storage.freezing_c is not None
    assert profile.storage.freezing_c.value == pytest.approx(-1.667, abs=1e-3)
    assert profile.ripening is not None
    assert (profile.ripening.low_c, profile.ripening.high_c) == (18.0, 21.0)
    assert (profile.ripening.limit_c, profile.ripening.stop_c) == (28.0, 33.0)
    assert profile.ripening.source == "made"
    assert (profile.package, profile.package_source) == ("bushel", "made")
    assert profile.about == "Late."


def test_none_of_it_is_needed() -> None:
    without = WINTER.partition("[ripening]")[0] + "[storage]" + WINTER.partition("[storage]")[2]
    profile = load_profile_text(without, Path())
    assert (profile.ripening, profile.respiration, profile.ethylene) == (None, (), None)
    assert (profile.left_out, profile.storage.freezing_c) == (None, None)
    assert (profile.package, profile.about) == ("", "")


def test_what_older_profiles_said_of_their_errors_is_passed_over() -> None:
    older = WINTER + '\n[held_to]\nerror_pct = 34.5\nstatements = 7\nnote = "Two disagree."\n'
    assert load_profile_text(older, Path()).left_out is None
    assert load_profile_text(FULL, Path()).left_out is not None


def test_gas_weighs_less_in_the_warm() -> None:
    warm = FULL.replace(
        'value = 40, low = 30, high = 60, unit = "mg', 'value = 4, low = 3, high = 5, unit = "ml'
    )
    cold_mg, warm_mg = (
        at.mg_kg_h.value for at in load_profile_text(warm, Path("made")).respiration
    )
    assert warm_mg / cold_mg == pytest.approx(273.15 / 293.15)


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ('"very high"', '"huge"', "ethylene.produces", "one of very low, low, moderate"),
        ('responds = "low"', "", "ethylene.responds", "missing"),
        ('unit = "ppm"', 'unit = "%"', "ethylene.dose.unit", "ppm"),
        ("statements = 9", "statements = -1", "left_out.statements", "from 0"),
        ("statements = 9", "statements = 6", "left_out.statements", "fewer than what is counted"),
        ("statements = 9", "statements = 4", "left_out.statements", "fewer than what is counted"),
        ("median_pct = 12.5", "median_pct = 'low'", "left_out.median_pct", "a number"),
        ("worst_pct = 73", "worst_pct = nan", "left_out.worst_pct", "finite"),
        ("tenth_pct = 40", "", "left_out.tenth_pct", "missing"),
        ("in_range = 7", "in_range = 7\nwhy = 1", "left_out.why", "unknown key"),
        ("[[respiration]]\nat_c = 20", "[[respiration]]\nat_c = -1",
         "respiration[1].at_c", "go up"),
        ('"ml CO2/kg h"', '"l CO2/kg h"', "respiration[0].rate.unit", "mg CO2/kg h"),
        ("value = 40, low = 30, high = 60", "value = 40, low = 30, high = 6e9",
         "respiration[1].rate.high", "not between"),
        ("limit_c = 28", "limit_c = 280", "ripening.limit_c", "from -10 to 60"),
        ("limit_c = 28", "limit_f = 82", "ripening.limit_f", "unknown key"),
        ("stop_c = 33", "stop_c = 330", "ripening.stop_c", "from -10 to 60"),
        ("stop_c = 33", "stop_c = 27", "ripening.stop_c", "below limit_c"),
        ("limit_c = 28", "", "ripening.limit_c", "stop_c needs it"),
        ('stop_c = 33\nsource = "made"', 'stop_c = 33\nsource = "x"',
         "ripening.source", "not among"),
        ("groups = []", "groups = []\nabout = 7", "about", "text"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_refused_by_key_and_reason(
    good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = refusal_of(FULL, good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ("[[ripening.days]]\nat_c = 20", "[[ripening.days]]\nat_c = 10",
         "ripening.days[1].at_c", "go up"),
        ("value = 12, low = 8, high = 16", "value = 0, low = 0, high = 16",
         "ripening.days[0].days.value", "not between"),
        ("[ripe_life]", "[ripe_lives]", "ripe_life", "how long is the fruit good"),
        ("low_c = 15", "low_c = 15\n[rate]\n[ripening.more]", "ripening.more", "unknown key"),
        ('judged_by = "nothing"', 'judged_by = "smell"', "judged_by", "one of firmness, colour"),
        ('judged_by = "nothing"', "judged_by = true", "judged_by", "in quotes"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_published_days_is_refused(
    good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = refusal_of(HELD, good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


def test_between_known_values_the_logarithm_runs_straight() -> None:
    known, values = [0.0, 10.0, 20.0], [1.0, 4.0, 4.0]
    assert log_interpolated(5.0, known, values) == pytest.approx(2.0)
    assert log_interpolated(15.0, known, values) == pytest.approx(4.0)
    assert log_interpolated(-9.0, known, values) == pytest.approx(1.0)
    assert log_interpolated(99.0, known, values) == pytest.approx(4.0)
    assert log_interpolated(99.0, [3.0], [7.0]) == 7.0
