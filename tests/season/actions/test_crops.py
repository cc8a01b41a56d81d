"""The farm's own crops: made, changed, deleted, and refused."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.market import SecondGrade
from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.records.crop.made import COLOURED, HELD, WINTER, renamed, winter_but
from tests.season.farm import ROOM, entry, market, refused
from tests.season.same import assert_same_projection

PAWPAW_SPEED = "speed = { value = "


def quicker(text: str, factor: float) -> str:
    """A profile whose speed at the reference is so many times as high."""
    lines = []
    for line in text.splitlines():
        if line.startswith(PAWPAW_SPEED):
            value = float(line.removeprefix(PAWPAW_SPEED).split(",")[0])
            line = (
                f"speed = {{ value = {value * factor}, low = {value * factor * 0.8}, "
                f'high = {value * factor * 1.25}, unit = "per day", source = "estimate", '
                'note = "As seen on this farm." }'
            )
        lines.append(line)
    return "\n".join(lines)


def test_a_new_crop_is_there_at_once_and_undone(living: Season) -> None:
    before, crops = living.book, set(living.crops)
    profile = living.do(actions.crops.save, WINTER)
    assert living.undo_label == "new crop Winter pear"
    assert living.crops["winter"] == profile
    assert living.own_crop_keys == {"winter"}
    assert living.crop_text("winter") == WINTER
    assert set(living.crops) == crops | {"winter"}
    living.undo()
    assert living.book == before
    assert set(living.crops) == crops
    assert living.own_crop_keys == frozenset()
    with pytest.raises(KeyError):
        living.crop_text("winter")
    living.redo()
    assert living.crops["winter"] == profile


def test_a_changed_crop_moves_its_batches_at_once_and_no_others(living: Season) -> None:
    (mine,) = living.do(actions.picks.add, entry(place_id=ROOM))
    (other,) = living.do(actions.picks.add, entry(place_id=ROOM, crop="pear"))
    before, story = living.projection(), living.story(mine.id)
    told: list[str | None] = []
    living.subscribe(lambda _changed: told.append(living.undo_label))
    living.do(actions.crops.save, quicker(living.crop_text("pawpaw"), 2.0))
    assert told == ["change of crop Pawpaw"]
    after = living.projection()
    opened = after.opens_h.mid - before.opens_h.mid
    assert opened[after.line_of[mine.id]] < -6.0
    assert opened[after.line_of[other.id]] == pytest.approx(0.0, abs=1e-6)
    assert living.story(mine.id).firmness_n[-1] < story.firmness_n[-1]
    living.undo()
    assert_same_projection(living.projection(), before)
    living.redo()
    assert_same_projection(living.projection(), after)


def test_one_record_holds_a_crop_however_often_it_is_changed(living: Season) -> None:
    living.do(actions.crops.save, WINTER)
    (record,) = living.book.own_crops.values()
    living.do(actions.crops.save, winter_but("value = 0.6, low = 0.5", "value = 0.65, low = 0.5"))
    assert set(living.book.own_crops) == {record.id}
    assert living.undo_label == "change of crop Winter pear"
    assert living.crops["winter"].rate.per_day.value == 0.65


def test_a_changed_shipped_crop_goes_back_to_what_ships(living: Season) -> None:
    living.do(actions.picks.add, entry())
    shipped, text = living.crops["pawpaw"], living.crop_text("pawpaw")
    living.do(actions.crops.save, quicker(text, 2.0))
    assert living.crops["pawpaw"] != shipped
    living.do(actions.crops.delete, "pawpaw")
    assert living.crops["pawpaw"] == shipped
    assert living.crop_text("pawpaw") == text
    assert living.own_crop_keys == frozenset()


def test_a_crop_in_use_that_no_other_profile_describes_stays(living: Season) -> None:
    living.do(actions.crops.save, WINTER)
    living.do(actions.orchard.save_cultivar, Cultivar(id="w", crop="winter", name="Old tree"))
    refused(living, lambda: living.do(actions.crops.delete, "winter"))
    living.do(actions.orchard.delete_cultivar, "w")
    living.do(actions.ahead.save_market_day, *market(3, {"winter": 4}))
    refused(living, lambda: living.do(actions.crops.delete, "winter"))
    living.undo()
    living.do(
        actions.ahead.save_second_grades, [SecondGrade(id="pulp", crop="winter", price_minor=5)]
    )
    refused(living, lambda: living.do(actions.crops.delete, "winter"))
    living.undo()
    (batch,) = living.do(actions.picks.add, entry(crop="winter"))
    assert (
        "Delete those first"
        in refused(living, lambda: living.do(actions.crops.delete, "winter")).message
    )
    living.do(actions.batches.delete, [batch.id])
    living.do(actions.crops.delete, "winter")
    assert "winter" not in living.crops
    refused(living, lambda: living.do(actions.crops.delete, "winter"))
    refused(living, lambda: living.do(actions.crops.delete, "pawpaw"))


@pytest.mark.parametrize(
    ("text", "field", "words"),
    [
        ("", "sources", "missing"),
        ("[[[", "", "not TOML"),
        ("a = '\ud800'", "", "not UTF-8"),
        ("x" * 100_001, "", "larger than 100 kB"),
        (winter_but("value = 14, low = 10", "value = 14, low = 15"), "firmness.ready.low", "above"),
        (winter_but('letter = "X"', 'letter = "x"'), "letter", "capital"),
        (winter_but("at_c = 10", "at_c = 16"), "gate.none_above_c", "above the warmest"),
    ],
)
def test_a_profile_that_cannot_be_is_refused_by_its_key(
    living: Season, text: str, field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.crops.save, text))
    assert isinstance(refusal, ProfileRefusal)
    assert refusal.field == field
    assert words in refusal.reason


def test_a_letter_in_use_is_refused_and_others_are_free(living: Season) -> None:
    free = living.free_crop_letters()
    taken_by_any = {profile.letter for profile in living.crops.values()}
    assert free[0] not in taken_by_any
    assert "P" not in free  # there are cultivars of pawpaw
    refusal = refused(
        living, lambda: living.do(actions.crops.save, renamed("winter", "Winter", "P"))
    )
    assert (refusal.field, "Pawpaw" in refusal.message) == ("letter", True)
    # Nobody grows avocados here, so their letter may be used again.
    assert "A" in free
    living.do(actions.crops.save, renamed("winter", "Winter", "A"))
    assert "A" not in living.free_crop_letters()
    refused(living, lambda: living.do(actions.crops.save, renamed("other", "Other", "A")))


def test_a_crop_keeps_its_letter_whoever_else_has_it(living: Season) -> None:
    living.do(actions.crops.save, renamed("winter", "Winter", "A"))
    living.do(actions.picks.add, entry(crop="avocado"))
    living.do(actions.crops.save, renamed("winter", "Winter pear", "A"))
    codes = [
        living.do(actions.picks.add, entry(crop=crop))[0].code for crop in ("winter", "avocado")
    ]
    assert codes == ["A-0930-2", "A-0930-3"]  # never twice the same


def test_what_was_noted_before_a_profile_judged_otherwise_is_left_aside(
    living: Season,
) -> None:
    living.do(actions.crops.save, WINTER)
    here = {"crop": "winter", "place_id": ROOM, "count": 9}
    living.do(actions.picks.add, entry(**here, feel_counts=(0, 0, 9, 0, 0)))
    living.do(
        actions.picks.add, entry(**here, feel_counts=None, readings=(50.0, 52.0), reading_unit="N")
    )
    living.do(actions.picks.add, entry(**here, feel_counts=None))
    for text in (COLOURED, HELD):
        head, rest = text.split("judged_by", 1)
        assert head.count("=") == 4
        as_winter = 'key = "winter"\nname = "Winter"\nletter = "X"\ngroups = []\njudged_by' + rest
        living.do(actions.crops.save, as_winter)
        p = living.projection()
        assert np.isfinite(p.closes_h.mid).all()
        felt, gauged, unknown = (p.line_of[b] for b in living.book.batches)
        assert p.opens_h.mid[gauged] == pytest.approx(p.opens_h.mid[unknown])
        alike = p.opens_h.mid[felt] == pytest.approx(p.opens_h.mid[unknown])
        assert alike == (text is HELD)


def test_a_cultivars_pace_moves_its_batches(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=ROOM, cultivar_id="early"))
    before = living.projection().opens_h.mid[0]
    early = living.book.cultivars["early"]
    living.do(actions.orchard.save_cultivar, replace(early, rate_factor=2.0))
    picked_h = batch.picked_at.timestamp() / 3600.0
    after = living.projection().opens_h.mid[0]
    assert after - picked_h == pytest.approx((before - picked_h) / 2.0, abs=1.0)
    for pace in (0.1, 6.0, float("nan"), -1.0):
        wrong = replace(early, rate_factor=pace)
        refusal = refused(
            living,
            lambda wrong=wrong: living.do(actions.orchard.save_cultivar, wrong),  # type: ignore[misc]
        )
        assert refusal.field == "rate_factor"
