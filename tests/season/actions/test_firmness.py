"""Feels, looks and gauge readings: what cannot be, and what was probably meant otherwise."""

import math
from typing import Any

import pytest

from ripenroom.records.refusal import Question
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.records.crop.made import COLOURED, HELD
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
        (gauge(math.inf), "readings", "is not possible"),
        (gauge(30.0, reading_unit=None), "reading_unit", "N, kgf or lbf"),
        (gauge(30.0, feel_counts=(0, 4, 0, 0, 0)), "readings", "not both"),
        (gauge(20_000.0), "readings", "is not possible"),
        # Above the firmest pawpaw in every unit but the one typed: nothing else can be meant.
        (gauge(900.0, reading_unit="N"), "readings", "firmer than any pawpaw"),
        (gauge(30.0, probe_mm=0.0), "probe_mm", "1 to 30 mm"),
        (gauge(30.0, probe_mm=-8.0), "probe_mm", "1 to 30 mm"),
        (gauge(30.0, probe_mm=math.nan), "probe_mm", "1 to 30 mm"),
    ],
)
@pytest.mark.parametrize("answered", [frozenset(), frozenset({"readings", "probe_mm", "pulp_c"})])
def test_what_cannot_be_is_refused_whatever_was_answered(
    living: Season,
    given: dict[str, Any],
    field: str,
    words: str,
    answered: frozenset[str],
) -> None:
    refusal = refused(
        living, lambda: living.do(actions.picks.add, entry(**given, answered=answered))
    )
    assert refusal.field == field
    assert not isinstance(refusal, Question)
    assert words in refusal.message


def test_a_reading_that_fits_only_in_another_unit_is_asked_about(living: Season) -> None:
    refusal = refused(
        living, lambda: living.do(actions.picks.add, entry(**gauge(40.0, reading_unit="kgf")))
    )
    assert isinstance(refusal, Question)
    assert (refusal.field, refusal.suggestion) == ("readings", "N")
    assert not refusal.possible
    assert "is 0.153 to 7.14 kgf" in refusal.message
    assert "Is it 40 N" in refusal.message
    living.do(actions.picks.add, entry(**gauge(40.0, reading_unit="N")))


def test_a_reading_firmer_than_any_is_not_kept_by_saying_yes(living: Season) -> None:
    given = gauge(40.0, reading_unit="kgf", answered=frozenset({"readings"}))
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**given)))
    assert not isinstance(refusal, Question)
    assert "firmer than any" in refusal.message


def test_a_reading_softer_than_any_may_be_kept(living: Season) -> None:
    low = gauge(1.2, 1.3)
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**low)))
    assert isinstance(refusal, Question)
    assert (refusal.suggestion, refusal.possible) == ("kgf", True)
    (batch,) = living.do(actions.picks.add, entry(**low, answered=frozenset({"readings"})))
    assert batch.readings == (1.2, 1.3)
    assert math.isfinite(living.projection().closes_h.mid[0])


def test_softer_in_every_unit_asks_about_the_gauge(living: Season) -> None:
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**gauge(0.01))))
    assert isinstance(refusal, Question)
    assert (refusal.suggestion, refusal.possible) == (None, True)
    assert "zeroed" in refusal.message


def test_another_probe_is_asked_about_and_may_be_kept(living: Season) -> None:
    given = gauge(30.0, 31.0, probe_mm=11.3)
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**given)))
    assert isinstance(refusal, Question)
    assert (refusal.field, refusal.suggestion, refusal.possible) == ("probe_mm", 8.0, True)
    (batch,) = living.do(actions.picks.add, entry(**given, answered=frozenset({"probe_mm"})))
    assert batch.probe_mm == 11.3


def test_without_readings_unit_and_probe_are_not_kept(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(reading_unit="lbf", probe_mm=8.0))
    assert (batch.reading_unit, batch.probe_mm) == (None, None)


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"feel_counts": (0, 4, 0, 0, 0)}, "feel_counts", "softens is not known, only its dates"),
        (
            {"feel_counts": (0, 0, 0, 0, 0), "count": 5},
            "feel_counts",
            "softens is not known, only its dates",
        ),
        (gauge(30.0), "readings", "softens is not known, only its dates"),
    ],
)
def test_a_crop_of_which_only_dates_are_known_is_neither_felt_nor_probed(
    living: Season, given: dict[str, Any], field: str, words: str
) -> None:
    living.do(actions.crops.save, HELD)
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(crop="keeper", **given)))
    assert refusal.field == field
    assert words in refusal.message
    assert not isinstance(refusal, Question)
    (batch,) = living.do(actions.picks.add, entry(crop="keeper", feel_counts=None, count=12))
    assert math.isfinite(living.projection().closes_h.mid[living.projection().line_of[batch.id]])


def test_a_crop_judged_by_its_colour_is_not_probed(living: Season) -> None:
    living.do(actions.crops.save, COLOURED)
    answered = frozenset({"readings", "probe_mm"})
    given = gauge(30.0, crop="lantern", answered=answered)
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**given)))
    assert refusal.field == "readings"
    assert "Lantern fruit is judged by its color" in refusal.message
    assert not isinstance(refusal, Question)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"feel_counts": (0, -1, 0, 0, 0)}, "look “turning”"),
        ({"feel_counts": (0, 0, 0, 0, 0)}, "looked at"),
        ({"feel_counts": (0, 20, 0, 0, 0), "count": 19}, "colors add up to 20"),
    ],
)
def test_colours_are_told_by_their_names(living: Season, given: dict[str, Any], words: str) -> None:
    living.do(actions.crops.save, COLOURED)
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(crop="lantern", **given)))
    assert refusal.field == "feel_counts"
    assert words in refusal.message


def test_fruit_further_in_colour_is_ready_sooner(living: Season) -> None:
    living.do(actions.crops.save, COLOURED)
    made = living.do(
        actions.picks.add, entry(crop="lantern", place_id="room", feel_counts=(3, 3, 3, 3, 0))
    )
    p = living.projection()
    opens = [float(p.opens_h.mid[p.line_of[batch.id]]) for batch in made]
    assert len(opens) == 4
    assert opens == sorted(opens, reverse=True)
