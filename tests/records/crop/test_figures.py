"""Figures: units, ranges and sources, and what is refused in them."""

from pathlib import Path

import pytest

from ripenroom.records.crop.profile import Source
from ripenroom.records.crop.section import Quantity, Section, read_figure
from tests.records.crop.conftest import Spoil

READY = "value = 14, low = 9, high = 18"


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "ours"),
    [
        (Quantity.FIRMNESS, 1.0, "kgf", 9.80665),  # NIST SP 811
        (Quantity.FIRMNESS, 2.0, "lbf", 8.896443230521),  # NIST SP 811
        (Quantity.FIRMNESS, 14, "N", 14.0),
        (Quantity.TEMPERATURE, 68, "F", 20.0),
        (Quantity.TEMPERATURE, -1, "C", -1.0),
        (Quantity.DURATION, 4, "weeks", 28.0),
        (Quantity.DURATION, 10, "days", 10.0),
        (Quantity.MASS, 0.25, "kg", 250.0),
        (Quantity.MASS, 1, "lb", 453.59237),  # NIST SP 811
        (Quantity.MASS, 150, "g", 150.0),
        (Quantity.PERCENT, 92, "%", 92.0),
    ],
)
def test_a_figure_comes_in_our_own_unit(
    quantity: Quantity, value: float, unit: str, ours: float
) -> None:
    table = {"value": value, "low": value, "high": value, "unit": unit, "source": "book"}
    section = Section(Path("any.toml"), {"it": table})
    figure = read_figure(section, "it", quantity, {"book": Source("book", "A book")})
    assert figure.value == pytest.approx(ours, rel=1e-13)
    assert figure.low == figure.value == figure.high
    assert figure.source == "book"


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        (READY, "low = 9, high = 18", "firmness.ready.value", "missing"),
        (READY, f"{READY}, size = 3", "firmness.ready.size", "unknown key"),
        (READY, "value = 14, low = 15, high = 18", "firmness.ready.low", "above the value"),
        (READY, "value = 14, low = 9, high = 13", "firmness.ready.high", "below the value"),
        (READY, "value = nan, low = 9, high = 18", "firmness.ready.value", "finite"),
        (READY, "value = 14, low = 9, high = inf", "firmness.ready.high", "finite"),
        (READY, "value = true, low = 9, high = 18", "firmness.ready.value", "number, not true"),
        (READY, "value = '14', low = 9, high = 18", "firmness.ready.value", "number, not '14'"),
        (READY, "value = -4, low = -9, high = 18", "firmness.ready.value", "-4 N is not between"),
        ('"per day"', '"per hour"', "rate.speed.unit", 'needs to be "per day"'),
        ('"lb"', '"stone"', "fruit.mass.unit", 'needs to be "g" or "kg" or "lb"'),
        ('"weeks"', '"months"', "storage.life[0].days.unit", '"months"'),
        ('"%"', '"C"', "storage.humidity.unit", 'needs to be "%"'),
        ('day", source = "someone2001"', 'day"', "rate.speed.source", "missing"),
        ('day", source = "someone2001"', 'day", source = "x"', "rate.speed.source", "not among"),
        (', note = "Softest seen."', "", "firmness.lowest.note", "has to say how"),
    ],
)
def test_a_wrong_figure_is_refused_by_key_and_reason(
    spoil: Spoil, good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = spoil(good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason
