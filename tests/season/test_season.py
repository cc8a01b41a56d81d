"""An open season: undo of every action, previews, listeners, reading as on a date, odd files."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.projection import FruitState
from ripenroom.season.season import FileRefusal, Season
from tests.records.crop.made import WINTER, winter_but
from tests.records.hostile import Hostile, edit_row
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    UNUSED,
    YESTERDAY,
    batch_and_move,
    entry,
    farm_records,
    market,
    refused,
    season_record,
)
from tests.season.same import assert_same_projection
from tests.season.writing import write


def every_kind_of_action(living: Season) -> list[Callable[[], object]]:
    """One action of every kind, in an order in which each can be done."""
    ids: list[str] = []
    winter: list[Batch] = []

    def pick() -> None:
        ids.extend(
            batch.id for batch in living.do(actions.picks.add, entry(feel_counts=(1, 9, 6, 0, 0)))
        )

    def batch() -> Batch:
        return living.book.batches[ids[1]]

    day, wants = market(3, {"pawpaw": 10, "pear": 4})
    cellar = Place(id="cellar", name="Cellar", kind="cool shelf", half_cooling_h=9.0)
    return [
        pick,
        lambda: living.do(actions.batches.change, replace(batch(), note="by the wall", count=11)),
        lambda: living.do(
            actions.batches.change, replace(batch(), picked_at=YESTERDAY - timedelta(hours=1))
        ),
        lambda: living.do(actions.moves.move, ids, ROOM, NOW + timedelta(days=1)),
        lambda: living.do(actions.moves.delete, living.moves_of(ids[0])[1].id),
        lambda: living.do(actions.batches.take_out, ids[1], 4, "sold", NOW),
        lambda: living.do(actions.batches.take_out, ids[1], 2, "discarded", NOW),
        lambda: living.do(
            actions.orchard.save_cultivar, Cultivar(id="late", crop="pawpaw", name="Late")
        ),
        lambda: living.do(
            actions.orchard.save_row, Row(id="hill", name="Hill", cultivar_id="late")
        ),
        lambda: living.do(actions.orchard.delete_row, "hill"),
        lambda: living.do(actions.orchard.delete_cultivar, "late"),
        lambda: living.do(actions.places.save, cellar, 13.0),
        lambda: living.do(
            actions.places.save, replace(cellar, name="Deep cellar", daily_swing_k=1.0)
        ),
        lambda: living.do(actions.places.set_set_point, "cellar", 12.0),
        lambda: living.do(actions.places.delete, "cellar"),
        lambda: living.do(actions.ahead.save_market_day, day, wants),
        lambda: living.do(actions.ahead.save_market_days, [market(4, {"pear": 1}), market(5, {})]),
        lambda: living.do(
            actions.ahead.save_market_day, replace(day, eat_within_days=2), wants[:1]
        ),
        lambda: living.do(actions.ahead.delete_market_day, day.id),
        lambda: living.do(actions.crops.save, WINTER),
        lambda: living.do(actions.crops.save, winter_but("at_c = 10", "at_c = 9")),
        lambda: living.do(
            actions.orchard.save_cultivar,
            Cultivar(id="w", crop="winter", name="W", rate_factor=1.2),
        ),
        lambda: winter.extend(living.do(actions.picks.add, entry(crop="winter", cultivar_id="w"))),
        lambda: living.do(actions.batches.treat, [winter[0].id], 48.0, NOW),
        lambda: living.do(actions.batches.delete_treatment, next(iter(living.book.treatments))),
        lambda: living.do(actions.batches.treat, [winter[0].id], 24.0, NOW),
        lambda: living.do(actions.batches.delete, [winter[0].id]),
        lambda: living.do(actions.orchard.delete_cultivar, "w"),
        lambda: living.do(actions.crops.delete, "winter"),
        lambda: living.do(
            actions.season.save,
            replace(living.book.season, name="Renamed", units="us"),
        ),
        lambda: living.do(
            actions.season.save, replace(living.book.season, zone="America/New_York")
        ),
        lambda: living.do(actions.batches.delete, ids[:2]),
    ]


def test_every_kind_of_action_is_undone_and_done_again(living: Season) -> None:
    told: list[str | None] = []
    living.subscribe(lambda _changed: told.append(living.undo_label))
    books, labels = [living.book], []
    for act in every_kind_of_action(living):
        act()
        assert living.book != books[-1]
        books.append(living.book)
        labels.append(living.undo_label)
    assert told == labels  # once each, and only after the change is there
    for book, label in zip(books[-2::-1], labels[::-1], strict=True):
        assert living.undo() == label
        assert living.book == book
    assert living.undo() is None
    for book, label in zip(books[1:], labels, strict=True):
        assert living.redo() == label
        assert living.book == book
    assert living.redo() is None
    assert len(told) == 3 * len(labels)


def test_undo_goes_on_after_a_restart(living: Season) -> None:
    books = [living.book]
    for act in every_kind_of_action(living):
        act()
        books.append(living.book)
    path = living.path
    living.close()
    again = Season.open(path, clock=lambda: NOW)
    try:
        assert again.book == books[-1]
        for book in books[-2::-1]:
            again.undo()
            assert again.book == book
        again.redo()
    finally:
        again.close()
    last = Season.open(path, read_only=True)
    assert last.book == books[1]
    last.close()


def test_a_change_undone_gives_the_projection_from_before(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=SHELF))
    before = living.projection()
    living.do(actions.moves.move, [batch.id], ROOM, NOW)
    assert living.projection().opens_h.mid[0] < before.opens_h.mid[0] - 24.0
    living.undo()
    assert_same_projection(living.projection(), before)


# Listeners


def test_a_listener_hears_of_changes_until_it_stops(living: Season) -> None:
    told: list[int] = []
    stop = living.subscribe(lambda _changed: told.append(len(living.book.batches)))
    living.do(actions.picks.add, entry(feel_counts=(0, 9, 6, 0, 0)))
    refused(living, lambda: living.do(actions.picks.add, entry(count=-1)))
    living.undo()
    living.undo()
    stop()
    living.do(actions.picks.add, entry())
    assert told == [2, 0]


# Reading only


def test_a_season_that_is_only_read_refuses_every_change(living: Season) -> None:
    living.do(actions.picks.add, entry())
    reader = Season.open(living.path, clock=lambda: NOW)
    assert reader.read_only_because is not None
    book, told = reader.book, list[str]()
    reader.subscribe(lambda _changed: told.append("changed"))
    (batch_id,) = book.batches
    for act in (
        lambda: reader.do(actions.picks.add, entry()),
        lambda: reader.do(actions.batches.take_out, batch_id, 1, "sold", NOW),
        lambda: reader.do(actions.places.set_set_point, COLD, 5.0),
        lambda: reader.do(actions.batches.delete, [batch_id]),
        lambda: reader.do(actions.crops.save, WINTER),
        reader.undo,
        reader.redo,
    ):
        with pytest.raises(FileRefusal) as caught:
            act()
        assert caught.value.kind == "unwritable"
    assert reader.book is book
    assert told == []
    assert reader.undo_label is None
    assert reader.projection().batch_ids == (batch_id,)
    reader.close()


# Set points to try


@pytest.mark.parametrize("celsius", [-1.0, 3.0, 9.5, 21.0, 35.0])
def test_a_preview_writes_nothing_and_is_what_the_set_point_then_does(
    living: Season, celsius: float
) -> None:
    living.do(actions.picks.add, entry(feel_counts=(2, 9, 6, 3, 0), pulp_c=24.0))
    shelf = living.do(actions.picks.add, entry(place_id=SHELF, crop="avocado"))
    living.do(actions.moves.move, [shelf[0].id], COLD, NOW + timedelta(days=1))
    living.do(actions.picks.add, entry(place_id=ROOM))
    now_as_it_is, written = living.projection(), living.path.read_bytes()
    preview = living.preview_set_point(COLD, celsius)
    assert living.path.read_bytes() == written
    assert living.projection() is now_as_it_is
    living.do(actions.places.set_set_point, COLD, celsius)
    assert_same_projection(preview, living.projection())


def test_a_preview_of_a_place_that_no_batch_uses_changes_nothing(living: Season) -> None:
    living.do(actions.picks.add, entry())
    gone = living.do(actions.picks.add, entry(place_id=SHELF))
    living.do(actions.moves.move, [gone[0].id], ROOM, NOW - timedelta(hours=2))
    for place_id in (UNUSED, SHELF):
        assert_same_projection(living.preview_set_point(place_id, 30.0), living.projection())


def test_a_preview_before_the_first_day_of_the_season(open_season: Open) -> None:
    living = open_season(*farm_records(), *batch_and_move(1, UNUSED), first_day=date(2026, 11, 1))
    preview = living.preview_set_point(UNUSED, 25.0)
    living.do(actions.places.set_set_point, UNUSED, 25.0)
    assert_same_projection(preview, living.projection())


def test_a_preview_of_a_thermostat_that_will_be_turned(living: Season) -> None:
    living.do(actions.picks.add, entry())
    living.do(actions.places.set_set_point, COLD, 6.0, NOW - timedelta(hours=12))
    living.do(actions.places.set_set_point, COLD, 18.0, NOW + timedelta(days=2))
    preview = living.preview_set_point(COLD, 12.0)
    living.do(actions.places.set_set_point, COLD, 12.0)
    assert_same_projection(preview, living.projection())


# Where and when


def test_where_a_batch_is_follows_its_moves(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    living.do(actions.moves.move, [batch.id], ROOM, NOW + timedelta(days=2))

    def where(at: datetime | None) -> str | None:
        place = living.place_of(batch.id, at)
        return place.id if place else None

    assert where(YESTERDAY - timedelta(seconds=1)) is None
    assert where(YESTERDAY) == COLD
    assert where(None) == COLD
    assert where(NOW + timedelta(days=2)) == ROOM
    assert living.place_of("no such batch") is None


def test_reading_as_on_a_date_takes_that_moment_for_now(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    living.do(actions.batches.take_out, batch.id, 6, "sold", NOW - timedelta(hours=1))
    assert living.projection().left.tolist() == [14.0]
    moment = NOW - timedelta(hours=5)
    living.read_as_on(moment)
    assert living.now() == moment
    assert living.projection().at_h == pytest.approx(moment.timestamp() / 3600.0)
    assert living.projection().left.tolist() == [20.0]
    living.read_as_on(moment + timedelta(seconds=20))
    assert living.projection().at_h == pytest.approx(moment.timestamp() / 3600.0 + 20 / 3600)


def test_states_move_on_with_the_date(living: Season) -> None:
    living.do(actions.picks.add, entry(place_id=ROOM, picked_at=YESTERDAY))
    states = []
    for days in range(30):
        living.read_as_on(NOW + timedelta(days=days))
        states.append(int(living.projection().state[0]))
    assert states == sorted(states)
    assert {FruitState.HOLDING, FruitState.READY, FruitState.PAST} == set(map(FruitState, states))


def test_a_season_is_looked_up_many_years_later(open_season: Open) -> None:
    living = open_season(*farm_records(), *batch_and_move(1), *batch_and_move(2, ROOM))
    living.read_as_on(NOW + timedelta(days=40))
    soon = living.projection()
    living.read_as_on(datetime(2190, 1, 1, tzinfo=UTC))
    late = living.projection()
    assert late.closes_h.mid == pytest.approx(soon.closes_h.mid)
    assert late.state.tolist() == [FruitState.PAST, FruitState.PAST]
    assert np.isfinite(late.chilling_used).all()
    living.read_as_on(datetime(1971, 1, 1, tzinfo=UTC))
    assert living.projection().closes_h.mid == pytest.approx(soon.closes_h.mid)
    assert living.projection().chilling_used.tolist() == [0.0, 0.0]


def test_the_projection_is_kept_until_the_clock_moves_on(open_season: Open) -> None:
    made = open_season(*farm_records(), *batch_and_move(1))
    path = made.path
    made.close()
    clock = [NOW]
    living = Season.open(path, clock=lambda: clock[0])
    first = living.projection()
    clock[0] += timedelta(seconds=59)
    assert living.projection() is first
    clock[0] += timedelta(seconds=1)
    assert living.projection().at_h - first.at_h == pytest.approx(1 / 60)
    living.close()


def test_a_practice_season_stands_still(practice: Season) -> None:
    assert practice.practice
    assert practice.now() == datetime(2026, 10, 1, 7, 30, tzinfo=practice.zone)


def test_the_home_zone_can_change(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=ROOM))
    before = living.projection()
    living.do(actions.season.save, replace(living.book.season, zone="Asia/Tokyo"))
    assert living.now().utcoffset() == timedelta(hours=9)
    assert living.projection().opens_h.mid == pytest.approx(before.opens_h.mid)
    (second,) = living.do(actions.picks.add, entry(picked_at=NOW - timedelta(hours=16)))
    assert second.code == "P-1001-1"  # half past midnight there, still the 30th in Lisbon
    living.undo()
    living.undo()
    assert living.zone.key == "Europe/Lisbon"
    assert living.book.batches == {batch.id: batch}


# Seasons of every size, and from elsewhere


def test_a_season_without_anything(open_season: Open) -> None:
    living = open_season()
    projection = living.projection()
    assert projection.batch_ids == ()
    assert projection.closes_h.mid.shape == (0,)
    assert (living.supply(), living.notices()) == ((), ())
    assert refused(living, lambda: living.do(actions.picks.add, entry())).field == "place_id"


def test_a_market_day_before_the_first_pick(living: Season) -> None:
    living.do(actions.ahead.save_market_day, *market(3, {"pawpaw": 30}))
    (supply,) = living.supply()
    assert (supply.wanted, supply.ready, supply.low, supply.high) == (30, 0.0, 0.0, 0.0)
    assert living.preview_set_point(COLD, 9.0).batch_ids == ()


def test_a_crop_without_a_profile_has_records_but_no_projection(open_season: Open) -> None:
    other, move = batch_and_move(1, crop="medlar", code="X-0930-1")
    day, wants = market(3, {"medlar": 12, "pawpaw": 10})
    sold_on, _ = market(-0.5, {})
    living = open_season(*farm_records(), other, move, day, *wants, sold_on)
    living.do(actions.picks.add, entry())
    assert set(living.projection().batch_ids) == set(living.book.batches) - {other.id}
    assert [s.ready for s in living.supply() if s.crop == "medlar"] == [0.0]
    assert {n.crop for n in living.notices() if n.market_day_id} == {"medlar", "pawpaw"}
    place = living.place_of(other.id)
    assert place is not None
    assert place.id == COLD
    with pytest.raises(Refusal, match="medlar"):
        living.story(other.id)
    living.do(actions.moves.move, [other.id], ROOM, NOW)
    living.do(actions.batches.take_out, other.id, 5, "sold", NOW, sold_on.id)
    assert living.preview_set_point(ROOM, 9.0).batch_ids == living.projection().batch_ids
    living.do(actions.batches.delete, [other.id])


def test_only_crops_without_a_profile(open_season: Open) -> None:
    living = open_season(*farm_records(), *batch_and_move(1, crop="medlar"))
    assert living.projection().batch_ids == ()
    assert living.notices() == ()


def test_a_batch_that_waits_nowhere_has_no_projection(open_season: Open) -> None:
    lost, _ = batch_and_move(1)
    living = open_season(*farm_records(), lost, *batch_and_move(2))
    assert living.projection().batch_ids == ("batch 2",)
    assert living.place_of(lost.id) is None
    with pytest.raises(Refusal, match="No dates for P-0930-1"):
        living.story(lost.id)


def test_a_batch_that_waits_nowhere_in_a_season_without_places(open_season: Open) -> None:
    living = open_season(batch_and_move(1)[0])
    assert living.projection().batch_ids == ()


def test_a_place_for_which_no_set_point_is_known(open_season: Open) -> None:
    bare = Place(id="bare", name="Bare", kind="counter", half_cooling_h=3.0)
    living = open_season(bare, *batch_and_move(1, "bare"))
    assert living.set_point_c("bare") == 20.0
    assert np.isfinite(living.projection().closes_h.mid).all()


def test_the_story_of_a_batch_that_is_gone(living: Season) -> None:
    with pytest.raises(Refusal):
        living.story("gone")


def test_a_season_in_use_is_sound_and_stays_as_it_is(living: Season) -> None:
    living.do(actions.picks.add, entry())
    before = living.path.read_bytes()
    assert verify(living.path) == []
    assert living.path.read_bytes() == before


def test_a_zone_that_is_not_known_here_is_told_and_lets_go_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "mars.ripenroom"
    SeasonFile.create(path, season_record()).close()
    edit_row(path, Hostile("season", "zone", "Mars/Olympus"))
    with pytest.raises(FileRefusal, match="Mars/Olympus"):
        Season.open(path)
    assert [p.name for p in tmp_path.iterdir()] == ["mars.ripenroom"]
    edit_row(path, Hostile("season", "zone", "Europe/Lisbon"))
    file = SeasonFile.open(path)
    assert file.read_only_because is None  # no lock was left behind
    file.close()


def test_two_thousand_batches(open_season: Open) -> None:
    records = [
        record
        for number in range(2000)
        for record in batch_and_move(
            number,
            (COLD, SHELF, ROOM)[number % 3],
            crop=("pawpaw", "pear", "avocado")[number % 7 % 3],
            picked_at=YESTERDAY - timedelta(hours=number % 300),
        )
    ]
    day, wants = market(2, {"pawpaw": 100})
    living = open_season(*farm_records(), *records, day, *wants)
    projection = living.projection()
    assert len(projection.batch_ids) == 2000
    (supply,) = living.supply()
    assert 0.0 < supply.low <= supply.ready <= supply.high
    ids = list(living.book.batches)
    living.do(actions.moves.move, ids, UNUSED, NOW)
    assert len(living.book.moves) == 4000
    assert living.undo() == "move of 2000 batches to Unused"
    assert_same_projection(living.projection(), projection)


def test_one_that_can_only_be_read_follows_what_another_writes(tmp_path: Path) -> None:
    path = tmp_path / "farm.ripenroom"
    writer = Season.create(path, season_record(), lambda: NOW)
    reader = Season.open(path, clock=lambda: NOW)
    told: list[int] = []
    reader.subscribe(lambda _changed: told.append(len(reader.book.places)))
    assert not reader.read_along()
    for record in farm_records():
        write(writer, Action("set up", (record,)))
    writer.do(actions.picks.add, entry())
    assert reader.read_along()
    assert reader.book == writer.book
    assert reader.projection().batch_ids == writer.projection().batch_ids
    assert told == [len(writer.book.places)]
    assert not reader.read_along()
    path.unlink()
    assert not reader.file_is_here
    assert not reader.read_along()
    reader.close()
    writer.close()


def test_what_a_season_begins_with_is_one_action(living: Season) -> None:
    before = living.book
    new = Cultivar(id="new", crop="pawpaw", name="Hillside")
    shed = Place(id="shed", name="Shed", kind="cool shelf", half_cooling_h=6.0)
    living.do(actions.season.furnish, [new], [(shed, 12.0)])
    assert living.book.cultivars["new"] == new
    assert living.set_point_c("shed") == 12.0
    living.undo()
    assert living.book == before
    with pytest.raises(Refusal):
        living.do(actions.season.furnish, [new, replace(new, id="other")], [(shed, 12.0)])
    assert living.book == before


def test_a_batch_that_is_gone_was_never_felt(living: Season) -> None:
    assert living.ask.last_felt("no batch") is None


def test_a_season_written_down_today_had_no_yesterday(tmp_path: Path) -> None:
    """Fruit of last week that a grower types in on the first evening was planned by nobody
    yesterday; from the next day on it was."""
    now = datetime.now(UTC)
    first = now.date() - timedelta(days=30)
    path = tmp_path / "new.ripenroom"
    SeasonFile.create(path, season_record(first_day=first), farm_records()).close()
    with closing(Season.open(path)) as living:
        assert not living.had_yesterday
        picked_at = now - timedelta(days=4)
        living.do(actions.picks.add, entry(picked_at=picked_at))
        assert len(living.book.batches) > 0
        assert not living.had_yesterday
    with closing(Season.open(path, clock=lambda: now + timedelta(days=1))) as living:
        assert living.had_yesterday
        living.undo()
        assert not living.had_yesterday


def test_a_season_that_came_with_its_fruit_had_a_yesterday(tmp_path: Path) -> None:
    """What was brought in whole, as by a copy, has no step that says when it was written down."""
    now = datetime.now(UTC)
    path = tmp_path / "whole.ripenroom"
    picked = batch_and_move(1, picked_at=now - timedelta(days=4))
    details = season_record(first_day=now.date() - timedelta(days=30))
    SeasonFile.create(path, details, [*farm_records(), *picked]).close()
    with closing(Season.open(path)) as living:
        assert living.had_yesterday
