"""Batches go by the figures of their cultivar's group, all others as if there were no groups."""

from dataclasses import fields, replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.book import Book
from ripenroom.records.check import Lesson
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import Cultivar
from ripenroom.records.own_crop import OwnCrop
from ripenroom.season import actions
from ripenroom.season.forecast import supply
from ripenroom.season.kinds import CropKind, kind_of, profile_of
from ripenroom.season.learning import fit, lessons_from
from ripenroom.season.practice import demo_book
from ripenroom.season.projection import Projection, Ranged
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.benchmarks.seasons import large_book
from tests.draws import first_every_day
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    batch_and_move,
    book_of,
    farm_records,
    market,
    season_record,
)
from tests.season.learning.checks import ZONE, check

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


@pytest.mark.parametrize("group", ["gold", "late season", "no such group", "' OR 1=1; <b>"])
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
