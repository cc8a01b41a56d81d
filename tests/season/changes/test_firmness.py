"""Gauge readings: what cannot be, and what was probably meant in another unit."""

import math
from typing import Any

import pytest

from ripenroom.records.refusal import Question
from ripenroom.season.living import LivingSeason
from tests.season.farm import entry, refused


def gauge(*readings: float, **given: Any) -> dict[str, Any]:
    facts = {"feel_counts": None, "count": 20, "readings": readings, "reading_unit": "N"}
    return {**facts, **given}


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        (gauge(0.0), "readings", "above 0"),
        (gauge(-4.0), "readings", "above 0"),
        (gauge(math.nan), "readings", "above 0"),
        (gauge(math.inf), "readings", "cannot be"),
        (gauge(30.0, reading_unit=None), "reading_unit", "N, kgf or lbf"),
        (gauge(30.0, feel_counts=(0, 4, 0, 0, 0)), "readings", "not both"),
        (gauge(20_000.0), "readings", "cannot be"),
        # Above the firmest pawpaw in every unit but the one typed: nothing else can be meant.
        (gauge(900.0, reading_unit="N"), "readings", "firmer than any pawpaw"),
        (gauge(30.0, probe_mm=0.0), "probe_mm", "1 to 30 mm"),
        (gauge(30.0, probe_mm=-8.0), "probe_mm", "1 to 30 mm"),
        (gauge(30.0, probe_mm=math.nan), "probe_mm", "1 to 30 mm"),
    ],
)
@pytest.mark.parametrize("answered", [frozenset(), frozenset({"readings", "probe_mm", "pulp_c"})])
def test_what_cannot_be_is_refused_whatever_was_answered(
    living: LivingSeason,
    given: dict[str, Any],
    field: str,
    words: str,
    answered: frozenset[str],
) -> None:
    refusal = refused(living, lambda: living.add_pick(entry(**given, answered=answered)))
    assert refusal.field == field
    assert not isinstance(refusal, Question)
    assert words in refusal.message


def test_a_reading_that_fits_only_in_another_unit_is_asked_about(living: LivingSeason) -> None:
    refusal = refused(living, lambda: living.add_pick(entry(**gauge(40.0, reading_unit="kgf"))))
    assert isinstance(refusal, Question)
    assert (refusal.field, refusal.suggestion) == ("readings", "N")
    assert not refusal.possible
    assert "392.3 N" in refusal.message
    living.add_pick(entry(**gauge(40.0, reading_unit="N")))


def test_a_reading_firmer_than_any_is_not_kept_by_saying_yes(living: LivingSeason) -> None:
    given = gauge(40.0, reading_unit="kgf", answered=frozenset({"readings"}))
    refusal = refused(living, lambda: living.add_pick(entry(**given)))
    assert not isinstance(refusal, Question)
    assert "firmer than any" in refusal.message


def test_a_reading_softer_than_any_may_be_kept(living: LivingSeason) -> None:
    low = gauge(1.2, 1.3)
    refusal = refused(living, lambda: living.add_pick(entry(**low)))
    assert isinstance(refusal, Question)
    assert (refusal.suggestion, refusal.possible) == ("kgf", True)
    (batch,) = living.add_pick(entry(**low, answered=frozenset({"readings"})))
    assert batch.readings == (1.2, 1.3)
    assert math.isfinite(living.projection().closes_h.mid[0])


def test_softer_in_every_unit_asks_about_the_gauge(living: LivingSeason) -> None:
    refusal = refused(living, lambda: living.add_pick(entry(**gauge(0.01))))
    assert isinstance(refusal, Question)
    assert (refusal.suggestion, refusal.possible) == (None, True)
    assert "zeroed" in refusal.message


def test_another_probe_is_asked_about_and_may_be_kept(living: LivingSeason) -> None:
    given = gauge(30.0, 31.0, probe_mm=11.3)
    refusal = refused(living, lambda: living.add_pick(entry(**given)))
    assert isinstance(refusal, Question)
    assert (refusal.field, refusal.suggestion, refusal.possible) == ("probe_mm", 8.0, True)
    (batch,) = living.add_pick(entry(**given, answered=frozenset({"probe_mm"})))
    assert batch.probe_mm == 11.3


def test_without_readings_unit_and_probe_are_not_kept(living: LivingSeason) -> None:
    (batch,) = living.add_pick(entry(reading_unit="lbf", probe_mm=8.0))
    assert (batch.reading_unit, batch.probe_mm) == (None, None)
