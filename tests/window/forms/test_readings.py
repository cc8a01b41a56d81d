"""Gauge readings in the user's decimal mark."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.window.forms.firmness_inputs import ReadingsInput
from ripenroom.wording.formats import Formats

SEASON = SeasonDetails(
    id="s", name="A", zone="UTC", first_day=date(2026, 9, 1), units="metric", currency="EUR"
)


@pytest.fixture
def german(qtbot: QtBot) -> ReadingsInput:
    made = ReadingsInput(Formats("de_DE", SEASON, ZoneInfo("UTC")))
    qtbot.addWidget(made.field)
    return made


def test_a_decimal_comma_does_not_part_readings(german: ReadingsInput) -> None:
    german.line.setText("4,2 3,9; 5")
    assert german.values() == (4.2, 3.9, 5.0)


def test_a_decimal_point_is_refused_there(german: ReadingsInput) -> None:
    german.line.setText("4,2 3.9")
    with pytest.raises(Refusal, match=r"3\.9"):
        german.values()


def test_a_gauge_begins_in_the_unit_of_the_season(qtbot: QtBot) -> None:
    made = ReadingsInput(Formats("en_US", replace(SEASON, units="us"), ZoneInfo("UTC")))
    qtbot.addWidget(made.field)
    assert made.unit() == "lbf"


def test_unit_and_probe(german: ReadingsInput) -> None:
    assert german.unit() == "N"
    german.unit_choice.choose("lbf")
    assert german.unit() == "lbf"
    assert german.probe_mm() is None
    german.probe.setText("7,9")
    assert german.probe_mm() == 7.9
    german.probe.setText("wide")
    with pytest.raises(Refusal) as refused:
        german.probe_mm()
    assert refused.value.field == "probe_mm"
