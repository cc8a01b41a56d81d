"""Writing down a pick: what it makes, what is refused, what is asked."""

import math
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.refusal import Question
from ripenroom.season import actions
from ripenroom.season.actions.picks import portions
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, ROOM, entry, refused


def test_several_feels_become_several_batches_in_one_undo_step(living: Season) -> None:
    before = living.book
    made = living.do(
        actions.picks.add, entry(feel_counts=(3, 9, 6, 2, 0), row_id="row", cultivar_id="early")
    )
    assert [b.count for b in made] == [3, 9, 6, 2]
    assert [b.code for b in made] == ["P-0930-1", "P-0930-2", "P-0930-3", "P-0930-4"]
    assert [b.feel_counts for b in made] == [
        (3, 0, 0, 0, 0),
        (0, 9, 0, 0, 0),
        (0, 0, 6, 0, 0),
        (0, 0, 0, 2, 0),
    ]
    assert {b.row_id for b in made} == {"row"}
    places = [living.place_of(batch.id) for batch in made]
    assert [place.id for place in places if place] == [COLD] * 4
    assert living.undo() == "pick of 20 pawpaws"
    assert living.book == before
    assert living.undo_label is None


def test_feels_stay_together_where_asked(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(feel_counts=(3, 9, 6, 2, 0), split_by_feel=False))
    assert (batch.count, batch.feel_counts) == (20, (3, 9, 6, 2, 0))


def test_a_sample_does_not_say_which_fruit_is_which(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(feel_counts=(0, 4, 6, 0, 0), count=50))
    assert (batch.count, batch.feel_counts) == (50, (0, 4, 6, 0, 0))


def test_weighed_fruit_is_counted_by_its_feels_only_if_they_can_weigh_so_much(
    living: Season,
) -> None:
    feels = (0, 12, 8, 0, 0)
    firm, soft = living.do(actions.picks.add, entry(feel_counts=feels, weight_kg=3.0))
    assert (firm.count, soft.count) == (12, 8)
    assert firm.weight_kg == pytest.approx(1.8)
    (sample,) = living.do(actions.picks.add, entry(feel_counts=feels, weight_kg=30.0))
    assert (sample.count, sample.weight_kg, sample.feel_counts) == (None, 30.0, feels)


def test_a_weight_alone_is_a_pick(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(feel_counts=None, weight_kg=3.0))
    assert (batch.count, batch.weight_kg) == (None, 3.0)
    assert living.undo_label == "pick of 3 kg of pawpaws"
    mass_kg = living.crops["pawpaw"].fruit_mass_g.value / 1000.0
    assert living.projection().left[0] == pytest.approx(3.0 / mass_kg)


def test_portions_of_several_feels_share_the_weight() -> None:
    parts = portions(entry(feel_counts=(0, 15, 5, 0, 0), weight_kg=4.0))
    assert [part[:2] for part in parts] == [(15, 3.0), (5, 1.0)]


def test_a_note_is_kept_without_blanks_around_it(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(note="  from the wall side \n"))
    assert batch.note == "from the wall side"


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"crop": "medlar"}, "crop", "There are: "),
        ({"place_id": "attic"}, "place_id", "Where does the fruit wait"),
        ({"place_id": ""}, "place_id", "Where does the fruit wait"),
        ({"cultivar_id": "gone"}, "cultivar_id", "not in the season any more"),
        ({"cultivar_id": "pears"}, "cultivar_id", "another crop"),
        ({"row_id": "gone"}, "row_id", "not in the season any more"),
        ({"picked_at": NOW + timedelta(minutes=11)}, "picked_at", "still to come"),
        ({"picked_at": NOW + timedelta(days=365)}, "picked_at", "1 Oct 2026, 08:30"),
        ({"picked_at": NOW - timedelta(days=70)}, "picked_at", "before the season"),
        ({"feel_counts": None}, "count", "How much was picked"),
        ({"count": 0}, "count", "0 fruit"),
        ({"count": -20}, "count", "-20 fruit"),
        ({"count": 100_001}, "count", "from 1 to 100000"),
        ({"count": 10**30}, "count", "from 1 to 100000"),
        ({"weight_kg": 0.0}, "weight_kg", "must be from"),
        ({"weight_kg": -3.0}, "weight_kg", "must be from"),
        ({"weight_kg": math.nan}, "weight_kg", "must be from"),
        ({"weight_kg": math.inf}, "weight_kg", "must be from"),
        ({"feel_counts": (0, -1, 4, 0, 0)}, "feel_counts", "slight give"),
        ({"feel_counts": (0, 0, 0, 0, 0)}, "feel_counts", "All feels are 0"),
        ({"feel_counts": (0, 10**9, 0, 0, 0)}, "feel_counts", "from 0 to 100000"),
        ({"count": 19}, "feel_counts", "add up to 20"),
        ({"pulp_c": -30.0}, "pulp_c", "The fruit temperature"),
        ({"pulp_c": 500.0}, "pulp_c", "The fruit temperature"),
        ({"pulp_c": math.nan}, "pulp_c", "The fruit temperature"),
        ({"note": "x" * 10_001}, "note", "10001 characters"),
        ({"note": "half \ud800 a letter"}, "note", "cannot be saved"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    living: Season, given: dict[str, Any], field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(**given)))
    assert refusal.field == field
    assert not isinstance(refusal, Question)
    assert words in refusal.message


def test_a_pick_some_minutes_ahead_is_two_clocks_that_differ(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(picked_at=NOW + timedelta(minutes=9)))
    assert living.notices() == ()
    assert living.place_of(batch.id) is None


def test_pulp_that_fits_only_in_fahrenheit_is_asked_about(living: Season) -> None:
    refusal = refused(living, lambda: living.do(actions.picks.add, entry(pulp_c=68.0)))
    assert isinstance(refusal, Question)
    assert refusal.field == "pulp_c"
    assert refusal.suggestion == pytest.approx(20.0)
    assert not refusal.possible
    (batch,) = living.do(actions.picks.add, entry(pulp_c=refusal.suggestion))
    assert batch.pulp_c == pytest.approx(20.0)


def test_codes_go_on_from_those_there_are(living: Season) -> None:
    first = living.do(actions.picks.add, entry())
    second = living.do(actions.picks.add, entry(place_id=ROOM))
    other = living.do(actions.picks.add, entry(crop="pear"))
    codes = [batch.code for batch in (*first, *second, *other)]
    assert codes == ["P-0930-1", "P-0930-2", "E-0930-1"]


def test_the_code_names_the_day_at_home(living: Season) -> None:
    # 23:30 in UTC is half past midnight in Lisbon's summer.
    late = NOW.replace(day=29, month=9, hour=23)
    (batch,) = living.do(actions.picks.add, entry(picked_at=late))
    assert batch.code == "P-0930-1"


def test_what_is_given_back_is_what_the_book_holds(living: Season) -> None:
    made = living.do(
        actions.picks.add, entry(picked_at=NOW.replace(microsecond=5) - timedelta(hours=1))
    )
    assert living.book.batches == {batch.id: batch for batch in made}
