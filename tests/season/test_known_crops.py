"""Which crops a season knows, whatever its file holds."""

import re
import tomllib
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.orchard import OwnCrop
from ripenroom.season import actions
from ripenroom.season.crop_curves import crop_curves
from ripenroom.season.known_crops import crops_of
from ripenroom.season.projector import Projector
from tests.draws import draws
from tests.records.crop.made import COLOURED, HELD, WINTER, renamed, winter_but
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, batch_and_move, book_of, entry, farm_records
from tests.season.test_projector import LISBON, place


def own(text: str = WINTER, key: str = "winter", number: int = 1) -> OwnCrop:
    return OwnCrop(id=f"own {number}", key=key, text=text)


def test_without_own_crops_there_are_the_shipped_ones() -> None:
    here = crops_of(book_of())
    assert here.profiles is shipped_profiles()
    assert (here.own, here.problems) == (frozenset(), ())


def test_own_crops_stand_beside_and_over_shipped_ones() -> None:
    over = renamed("pear", "Our pear", "E")
    here = crops_of(book_of(own(), own(over, "pear", 2)))
    assert here.own == {"winter", "pear"}
    assert here.profiles["pear"].name == "Our pear"
    assert here.profiles["winter"].name == "Winter pear"
    assert list(here.profiles) == [*shipped_profiles(), "winter"]
    assert len(here.profiles) == len(shipped_profiles()) + 1
    assert here.profiles["pawpaw"] is shipped_profiles()["pawpaw"]
    assert "medlar" not in here.profiles
    with pytest.raises(KeyError):
        here.profiles["medlar"]


BROKEN: Mapping[str, tuple[OwnCrop, str]] = {
    "nothing": (own(""), "sources: missing"),
    "not TOML": (own("name = "), "not TOML"),
    "far too long": (own("#" * 100_001), "larger than 100 kB"),
    "nested too deeply": (own("a = " + "[" * 5000), "nested too deeply"),
    "of another key": (own(renamed("quite_other", "O", "X")), "key: says “quite_other”"),
    "with a wrong figure": (own(winter_but("value = 14, low = 10", "value = nan, low = 10")),
                            "firmness.ready.value: needs to be a finite number"),
}  # fmt: skip


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_own_crop_is_told_and_does_not_keep_the_season_shut(
    open_season: Open, case: str
) -> None:
    record, words = BROKEN[case]
    lost, move = batch_and_move(1, ROOM, crop="winter", code="X-0930-1")
    living = open_season(*farm_records(), *batch_and_move(2), record, lost, move)
    assert living.own_crop_keys == frozenset()
    (problem,) = living.crop_problems
    assert problem.startswith("The season’s own crop “winter”: ")
    assert words in problem
    assert living.projection().batch_ids == ("batch 2",)
    assert living.notices() == ()
    assert living.crop_text("winter") == record.text
    # Mended, it is what it always was.
    living.do(actions.crops.save, WINTER)
    assert not living.crop_problems
    assert set(living.projection().batch_ids) == {"batch 1", "batch 2"}
    living.undo()
    assert living.crop_problems == (problem,)


def test_a_broken_own_crop_is_not_quietly_replaced_by_the_shipped_one(open_season: Open) -> None:
    living = open_season(*farm_records(), own("", "pawpaw"), *batch_and_move(1))
    assert "pawpaw" not in living.crops
    assert living.projection().batch_ids == ()
    living.do(actions.crops.delete, "pawpaw")
    assert living.crop_problems == ()
    assert living.projection().batch_ids == ("batch 1",)


def test_of_two_own_crops_with_one_key_the_first_counts() -> None:
    second = own(renamed("winter", "Second", "X"), number=2)
    here = crops_of(book_of(second, own()))
    assert here.profiles["winter"].name == "Winter pear"


def test_a_crop_from_a_file_is_data_and_nothing_else(open_season: Open) -> None:
    """What a stranger writes into a text stays a text."""
    odd = "{0.__class__} %s <b>$(touch here)</b> ../../etc/passwd"
    text = winter_but('name = "Winter pear"', f'name = "{odd}"')
    living = open_season(*farm_records(), own(text))
    (batch,) = living.do(actions.picks.add, entry(crop="winter"))
    assert living.undo_label == f"pick of 20 {odd.lower()}"
    assert living.crops["winter"].name == odd
    living.read_as_on(NOW)
    assert batch.id in living.projection().line_of


NUMBERS = st.sampled_from(
    (-30.0, -10.0, -1.0, 0.0, 1e-9, 0.01, 0.05, 0.5, 1.0, 2.0, 12.0, 15.0, 20.0, 35.0, 60.0, 99.0,
     100.0, 1000.0, 1e6)
)  # fmt: skip


@draws(300)
@given(data=st.data())
@pytest.mark.filterwarnings("error::RuntimeWarning")
def test_any_profile_that_is_taken_can_be_worked_with(data: st.DataObject) -> None:
    """A stranger's figures may be absurd; a season that holds them is still projected and drawn."""
    text = data.draw(st.sampled_from([WINTER, COLOURED, HELD]))
    for _ in range(data.draw(st.integers(1, 2))):
        figures = list(re.finditer(r"value = [\d.]+, low = [\d.]+, high = [\d.]+", text))
        where = data.draw(st.sampled_from(figures))
        low, value, high = sorted(data.draw(NUMBERS) for _ in range(3))
        figure = f"value = {value}, low = {low}, high = {high}"
        text = text[: where.start()] + figure + text[where.end() :]
    key = tomllib.loads(text)["key"]
    records = [
        record
        for number, celsius in enumerate((-1.0, 12.0, 20.0, 33.0))
        for record in (
            *place(f"{celsius}", celsius, daily_swing_k=3.0),
            *batch_and_move(number, f"{celsius}", crop=key, feel_counts=(1, 2, 3, 4, 5)),
        )
    ]
    here = crops_of(book_of(own(text, key)))
    if key not in here.profiles:
        assert here.problems
        return
    projector = Projector(here.profiles, LISBON)
    outlook = projector.outlook(book_of(*records), NOW)
    p = projector.projection(outlook, NOW)
    for dates in (p.first_ready_h, p.opens_h, p.best_h, p.closes_h):
        assert (np.isfinite(dates.low) | np.isnan(dates.mid)).all()
        assert np.isnan(dates.low[np.isnan(dates.mid)]).all()
    ready, past = outlook.shares(np.linspace(p.at_h, p.at_h + 900.0, 40))
    assert (ready >= -1e-6).all()
    assert (past <= 1.0 + 1e-6).all()
    crop_curves(here.profiles[key])
