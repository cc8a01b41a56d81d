"""Which crops a season knows, and whose figures a batch goes by."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.book import Book
from ripenroom.records.check import Lesson
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import Cultivar, OwnCrop
from ripenroom.season import actions
from ripenroom.season.crop_curves import crop_curves
from ripenroom.season.crop_kinds import CropKind, crops_of, kind_of, profile_of
from ripenroom.season.forecast import supply
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.lessons import lessons_from
from ripenroom.season.practice import demo_book
from ripenroom.season.projection import Projection, Ranged
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.benchmarks.seasons import large_book
from tests.draws import draws, first_every_day, one_in
from tests.records.crop.made import COLOURED, HELD, WINTER, renamed, winter_but
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    batch_and_move,
    book_of,
    entry,
    farm_records,
    market,
    season_record,
)
from tests.season.learning.checks import ZONE, check
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
    # What stands before a parenthesis is the noun, of which there are several.
    assert living.undo_label == f"pick of 20 {odd.lower().replace('$', '$s')}"
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


CROPS = shipped_profiles()
LONG_AGO = NOW - timedelta(days=50)
KIWI = Cultivar(id="kiwi", crop="kiwifruit", name="Yellow one")
PEACH = Cultivar(id="peach", crop="peach", name="First red")
DATES = ("first_ready_h", "opens_h", "best_h", "closes_h")


def projected(book: Book) -> Projection:
    projector = Projector(CROPS, ZONE)
    return projector.projection(projector.outlook(book, NOW), NOW)


def in_group(cultivar: Cultivar, group: str | None) -> Cultivar:
    return replace(cultivar, crop_group=group)


def kiwis(group: str | None) -> Book:
    """Kiwifruit from 50 days of cold, one batch with a cultivar and one without, and a pawpaw."""
    given = {"crop": "kiwifruit", "picked_at": LONG_AGO, "feel_counts": (20, 0, 0, 0, 0)}
    return book_of(
        *farm_records(),
        in_group(KIWI, group),
        *batch_and_move(1, COLD, cultivar_id="kiwi", **given),
        *batch_and_move(2, COLD, **given),
        *batch_and_move(3, ROOM),
    )


def of_batch(projection: Projection, batch_id: str) -> list[float]:
    line = projection.line_of[batch_id]
    found = []
    for name in DATES:
        dates = getattr(projection, name)
        found += [float(dates.low[line]), float(dates.mid[line]), float(dates.high[line])]
    return [*found, float(projection.gate_opens_h[line]), float(projection.wont_ripen[line])]


def columns(projection: Projection) -> dict[str, bytes]:
    found = {}
    for field in fields(projection):
        value = getattr(projection, field.name)
        if isinstance(value, Ranged):
            found[field.name] = b"".join(x.tobytes() for x in (value.low, value.mid, value.high))
        elif isinstance(value, np.ndarray):
            found[field.name] = value.tobytes()
    return found


def test_gold_kiwifruit_has_the_dates_of_a_crop_with_golds_figures() -> None:
    gold = projected(kiwis("gold"))
    crops = {**CROPS, "kiwifruit": CROPS["kiwifruit"].of_group("gold")}
    projector = Projector(crops, ZONE)
    whole = projector.projection(projector.outlook(kiwis(None), NOW), NOW)
    plain = projected(kiwis(None))
    # The rooms lie elsewhere on the shelf of clocks: the last digits differ by rounding.
    np.testing.assert_allclose(of_batch(gold, "batch 1"), of_batch(whole, "batch 1"), rtol=1e-13)
    assert of_batch(gold, "batch 1") != of_batch(plain, "batch 1")
    # Fruit beside it, of the same crop and of another, stays as it is.
    for other in ("batch 2", "batch 3"):
        np.testing.assert_allclose(of_batch(gold, other), of_batch(plain, other), rtol=1e-13)


def test_one_crop_is_still_one_crop_of_two_kinds() -> None:
    lines = Projector(CROPS, ZONE).lines(kiwis("gold"))
    assert lines.crop_keys == ("kiwifruit", "pawpaw")
    kinds = {key: lines.kinds[kind] for key, kind in zip(lines.ids, lines.kind, strict=True)}
    assert kinds["batch 1"] == CropKind("kiwifruit", "gold")
    assert kinds["batch 2"] == CropKind("kiwifruit")
    assert [lines.crop_keys[n] for n in lines.crop] == ["kiwifruit", "kiwifruit", "pawpaw"]
    day, wants = market(3.0, {"kiwifruit": 40})
    book = kiwis("gold").with_changes([day, *wants])
    projector = Projector(CROPS, ZONE)
    outlook = projector.outlook(book, NOW)
    [found] = supply(outlook, book, projector.constants)
    alone = []
    for key in ("batch 1", "batch 2"):
        one = replace(book, batches={key: book.batches[key]})
        [part] = supply(projector.outlook(one, NOW), one, projector.constants)
        alone.append(part.ready)
    assert found.ready == pytest.approx(sum(alone))
    assert found.ready > 0.0


@pytest.mark.parametrize(
    "group", one_in(3, ["gold", "late season", "no such group", "' OR 1=1; <b>"])
)
@pytest.mark.parametrize("seed", first_every_day(range(4)))
def test_groups_without_figures_change_nothing_to_the_bit(seed: int, group: str) -> None:
    """The practice season (0) and random ones; none of their crops has such a group."""
    book = demo_book() if seed == 0 else large_book(60, seed)
    now = book.season.practice_now
    assert now is not None
    grouped = book.with_changes(in_group(c, group) for c in book.cultivars.values())
    grown = {c.crop for c in book.cultivars.values()}
    assert not any(group in CROPS[crop].of_groups for crop in grown)
    found = []
    for one in (book, grouped):
        projector = Projector(CROPS, ZONE)
        outlook = projector.outlook(one, now)
        counted = supply(outlook, one, projector.constants)
        found.append((columns(projector.projection(outlook, now)), counted))
    assert found[0] == found[1]


def test_a_change_of_group_moves_the_dates_and_undo_brings_them_back(tmp_path: Path) -> None:
    book = kiwis(None)
    path = tmp_path / "farm.ripenroom"
    SeasonFile.create(path, season_record(), book.records()).close()
    season = Season.open(path, clock=lambda: NOW)
    before = of_batch(season.projection(), "batch 1")
    season.do(actions.orchard.save_cultivar, in_group(KIWI, "gold"))
    assert season.profile_of("batch 1") is CROPS["kiwifruit"].of_group("gold")
    after = of_batch(season.projection(), "batch 1")
    assert after == of_batch(projected(kiwis("gold")), "batch 1")
    assert after != before
    assert season.undo() is not None
    assert of_batch(season.projection(), "batch 1") == before
    assert season.redo() is not None
    season.close()
    opened = Season.open(path, clock=lambda: NOW)
    assert of_batch(opened.projection(), "batch 1") == after
    assert opened.book.cultivars["kiwi"].crop_group == "gold"
    opened.close()


def test_a_cultivar_of_another_crop_lends_its_group_to_no_batch() -> None:
    book = kiwis("gold")
    batch = replace(book.batches["batch 3"], cultivar_id="kiwi")
    assert kind_of(batch, book, CROPS) == CropKind("pawpaw")
    assert profile_of(replace(batch, crop="moonfruit"), book, CROPS) is None


def test_a_group_of_a_crop_of_ones_own_goes_by_what_is_in_it(tmp_path: Path) -> None:
    document = CropDocument(shipped_text("pawpaw"))
    speed = {"value": 0.9, "low": 0.8, "high": 1.0, "unit": "per day", "source": "estimate"}
    document.put(("group", "late"), {"rate": {"speed": {**speed, "note": "ours"}}})
    own = OwnCrop(id="own", key="pawpaw", text=document.text)
    late = Cultivar(id="late", crop="pawpaw", name="Late", crop_group="late")
    book = book_of(*farm_records(), late, *batch_and_move(1, ROOM, cultivar_id="late"), own)
    path = tmp_path / "farm.ripenroom"
    SeasonFile.create(path, season_record(), book.records()).close()
    season = Season.open(path, clock=lambda: NOW)
    profile = season.profile_of("batch 1")
    assert profile is not None
    assert profile.rate.per_day.value == 0.9
    grouped = of_batch(season.projection(), "batch 1")
    season.do(actions.orchard.save_cultivar, replace(late, crop_group=None))
    assert of_batch(season.projection(), "batch 1") != grouped
    season.close()


# Learning


def peaches(group: str | None, *lessons: Lesson) -> Book:
    """Two batches of a peach, one of them checked, and one of no cultivar."""
    picked = NOW - timedelta(days=6)
    given = {"crop": "peach", "picked_at": picked, "feel_counts": (20, 0, 0, 0, 0)}
    return book_of(
        *farm_records(),
        in_group(PEACH, group),
        *batch_and_move(1, ROOM, cultivar_id="peach", **given),
        *batch_and_move(2, ROOM, cultivar_id="peach", **given),
        *batch_and_move(3, ROOM, **given),
        check(1, 1, 3.0, (0, 2, 12, 6, 0)),
        check(2, 1, 2.0, (0, 0, 2, 18, 0)),
        *lessons,
    )


def test_what_is_learned_is_beside_the_groups_figures() -> None:
    learned = {}
    for group in (None, "late season", "early season"):
        found = fit(SeasonState(peaches(group), CROPS, NOW, ZONE)).rate_of("peach", "peach")
        assert found is not None
        assert found.group == group
        assert found.book == pytest.approx(1.0)
        learned[group] = found.factor.mid
    # The same checks say of slow figures that the fruit is faster than they are, of fast ones less.
    assert learned["late season"] > learned["early season"]


def test_a_group_learns_by_itself() -> None:
    book = peaches("early season")
    found = fit(SeasonState(book, CROPS, NOW, ZONE))
    plain, taught = Projector(CROPS, ZONE).lines(book), Projector(CROPS, ZONE, found).lines(book)
    rate = dict(zip(plain.ids, plain.batches.rate_per_day.tolist(), strict=True))
    after = dict(zip(taught.ids, taught.batches.rate_per_day.tolist(), strict=True))
    assert after["batch 2"] != rate["batch 2"]
    assert after["batch 3"] == rate["batch 3"]
    assert found.rate_of("peach", None) is None


def test_what_was_learned_in_one_group_is_not_believed_in_another() -> None:
    found = fit(SeasonState(peaches("early season"), CROPS, NOW, ZONE))
    moved = peaches("late season")
    plain, stale = Projector(CROPS, ZONE).lines(moved), Projector(CROPS, ZONE, found).lines(moved)
    for column in ("mean_age", "rate_per_day", "doubt_sd"):
        want, got = getattr(plain.batches, column), getattr(stale.batches, column)
        np.testing.assert_array_equal(got, want)


def test_a_fit_goes_on_rightly_after_a_change_of_group() -> None:
    first = fit(SeasonState(peaches("early season"), CROPS, NOW, ZONE))
    book = peaches("late season")
    again, fresh = (
        fit(SeasonState(book, CROPS, NOW, ZONE, first)),
        fit(SeasonState(book, CROPS, NOW, ZONE)),
    )
    one, other = again.rate_of("peach", "peach"), fresh.rate_of("peach", "peach")
    assert one is not None
    assert other is not None
    assert one.factor == pytest.approx(other.factor, rel=1e-6)


@pytest.mark.parametrize("later", [None, "early season", "late season"])
def test_a_lesson_says_the_same_speed_whatever_group_it_is_used_in(later: str | None) -> None:
    """The speed at 20 C that a cultivar begins from is nearly that which it had last season."""
    book = peaches("early season")
    learned = fit(SeasonState(book, CROPS, NOW, ZONE))
    had = learned.rate_of("peach", "peach")
    assert had is not None
    [lesson] = lessons_from(learned, book)
    assert lesson.cultivar == "First red"
    sure = replace(lesson, log_rate_sd=0.01)
    bare = replace(peaches(later, sure), checks={})
    begun = fit(SeasonState(bare, CROPS, NOW, ZONE)).rate_of("peach", "peach")
    assert begun is not None
    speed = {group: CROPS["peach"].of_group(group).rate.per_day.value for group in (later, None)}
    told = np.exp(lesson.log_rate) * speed[None]
    assert begun.book * speed[later] == pytest.approx(told, rel=0.12)
