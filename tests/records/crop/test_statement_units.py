"""Units of statements: which a figure may be printed in, and how much of each there can be."""

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.statement import limits_of, units_of_figure
from tests.records.crop.made import COLOURED, WINTER


@pytest.mark.parametrize(
    ("text", "path", "units"),
    [
        (WINTER, ("ripe_life", "days"), {"days", "weeks", "months", "h"}),
        (WINTER, ("gate", "needs", 1, "days"), {"days", "weeks", "months", "h"}),
        (WINTER, ("firmness", "ready"), {"N", "lbf", "kgf"}),
        (COLOURED, ("firmness", "ready"), {"% green"}),
        (WINTER, ("ripe_life", "q10"), {"per 10 C"}),
        (WINTER, ("ripening", "stop_c"), {"C"}),
        (WINTER, ("firmness", "probe_mm"), set()),
        (WINTER, ("gate", "needs"), set()),
        (WINTER, ("gate", "needs", 2, "days"), set()),
        (WINTER, ("key",), set()),
    ],
)
def test_a_figure_is_printed_in_units_of_what_it_is(
    text: str, path: tuple[str | int, ...], units: set[str]
) -> None:
    assert set(units_of_figure(CropDocument(text), path)) == units


def test_a_temperature_written_in_fahrenheit_is_told_in_celsius() -> None:
    document = CropDocument(shipped_text("tomato"))
    document.put(("chilling", "threshold"), {"value": 59, "low": 50, "high": 68, "unit": "F"})
    assert units_of_figure(document, ("chilling", "threshold")) == {"C": 1.0}


def test_ends_are_limited_in_the_unit_in_which_they_are_printed() -> None:
    assert limits_of("h") == pytest.approx((0.0, 19_200.0))
    assert limits_of("kgf") == pytest.approx((0.0, 1000.0 / 9.80665))
    assert limits_of("% of start") == (0.0, 100.0)
    assert limits_of("C") == (-100.0, 100.0)
    assert limits_of("per 10 C") == (0.0, 10_000.0)
