"""Marks, temperatures and energies that are out of order."""

import pytest

from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.conftest import QUINCE, Spoil


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ("lowest = { value = 2.5, low = 2, high = 3", "lowest = { value = 7, low = 2, high = 8",
         "firmness.too_soft", "6 N needs to be firmer than firmness.lowest (7 N)"),
        ("ready = { value = 14, low = 9", "ready = { value = 6, low = 4",
         "firmness.ready", "firmer than firmness.too_soft"),
        ("ready = { value = 14, low = 9, high = 18", "ready = { value = 95, low = 9, high = 99",
         "firmness.highest", "firmer than firmness.ready"),
        ("value = 18, low = 17, high = 19", "value = 1, low = 0.9, high = 1.2",
         "firmness.at_maturity", "firmer than firmness.too_soft"),
        ("highest = { value = 9, low = 8", "highest = { value = 8, low = 8",
         "firmness.highest", "firmer than firmness.at_maturity"),
        ("value = 18, low = 17, high = 19", "value = 18, low = 17, high = 20",
         "firmness.at_maturity.high", "below highest"),
        ("soft = { value = 18, low = 14, high = 22", "soft = { value = 30, low = 14, high = 30",
         "feel.gives", "firmer than feel.soft"),
        ("gives = { value = 27, low = 20, high = 36", "gives = { value = 46, low = 20, high = 46",
         "feel.slight_give", "firmer than feel.gives"),
        ("value = 45, low = 35, high = 58", "value = 95, low = 35, high = 99",
         "firmness.highest", "firmer than feel.slight_give"),
        ("value = 86, low = 82.4", "value = 68, low = 60", "rate.heat_midpoint", "reference_c"),
        ("value = 220, low = 160", "value = 90, low = 60", "rate.heat_energy", "activation"),
        ("best_low_c = -1", "best_low_c = 3", "storage.best_low_c", "above best_high_c"),
        ("at_c = 2\n", "at_c = -1\n", "storage.life[1].at_c", "go up"),
        ("at_c = 5\n", "at_c = 0\n", "chilling.allowance[1].at_c", "go up"),
        ("at_c = 5\n", "at_c = 7\n", "chilling.allowance[1].at_c", "below the threshold"),
    ],
)  # fmt: skip
def test_disorder_is_refused_by_key_and_reason(
    spoil: Spoil, good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = spoil(good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


@pytest.mark.parametrize("ready_n", [80.1, 88.0])
def test_fruit_that_is_eaten_as_picked_is_ready_when_it_is_mature(ready_n: float) -> None:
    content = QUINCE.read_text("utf-8")
    good = "ready = { value = 14, low = 9, high = 18"
    assert content.count(good) == 1
    eaten_firm = content.replace(good, f"ready = {{ value = {ready_n}, low = 9, high = 90")
    firmness = load_profile_text(eaten_firm, QUINCE).firmness
    assert firmness.at_maturity_n.value < firmness.ready_n.value == ready_n
