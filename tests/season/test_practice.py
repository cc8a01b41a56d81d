"""The practice season: the same everywhere, whole, and with something to find."""

import shutil
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.records.book import Book
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.validation import checked
from ripenroom.season import actions
from ripenroom.season.actions.outcomes import outcomes_of
from ripenroom.season.notices import NoticeKind
from ripenroom.season.practice import demo_book, write_demo
from ripenroom.season.projection import FruitState
from ripenroom.season.season import Season
from ripenroom.season.whereabouts import moves_of


@pytest.fixture(scope="module")
def book() -> Book:
    return demo_book()


def test_two_writings_give_the_same_book(
    book: Book, written_practice: Path, tmp_path: Path
) -> None:
    again = tmp_path / "again.ripenroom"
    write_demo(again)
    for path in (again, Path(shutil.copyfile(written_practice, tmp_path / "copy.ripenroom"))):
        file = SeasonFile.open(path, read_only=True)
        assert file.read() == book
        assert file.undo_label is None
        file.close()
        assert verify(path) == []


def test_it_is_not_written_over_anything(tmp_path: Path) -> None:
    path = tmp_path / "mine.ripenroom"
    path.write_text("my own")
    with pytest.raises(FileRefusal) as caught:
        write_demo(path)
    assert caught.value.kind == "unwritable"
    assert path.read_text() == "my own"


def test_it_is_of_the_promised_size(book: Book) -> None:
    assert 40 <= len(book.batches) <= 50
    assert {b.crop for b in book.batches.values()} == {"pawpaw", "pear", "avocado"}
    assert len(book.places) == 6
    assert {p.kind for p in book.places.values()} >= {"cold room", "ripening room", "field bin"}
    assert len(book.market_days) == 12
    picked = sorted(b.picked_at for b in book.batches.values())
    assert timedelta(weeks=4) < picked[-1] - picked[0] < timedelta(weeks=6)
    assert all(any(w.market_day_id == day for w in book.wants.values()) for day in book.market_days)


def test_every_record_is_one_that_a_user_could_have_entered(book: Book, tmp_path: Path) -> None:
    """The practice season is entered anew, action by action, and comes out the same."""
    season = book.season
    assert checked(season) == season
    living = Season.create(tmp_path / "entered.ripenroom", season)
    for place in book.places.values():
        first, *later = sorted(
            (s for s in book.set_points.values() if s.place_id == place.id), key=lambda s: s.at
        )
        living.do(actions.places.save, place, first.set_point_c)
        for turn in later:
            living.do(actions.places.set_set_point, place.id, turn.set_point_c, turn.at)
    for cultivar in book.cultivars.values():
        living.do(actions.orchard.save_cultivar, cultivar)
    for row in book.rows.values():
        living.do(actions.orchard.save_row, row)
    living.do(
        actions.ahead.save_market_days,
        [
            (day, [w for w in book.wants.values() if w.market_day_id == day.id])
            for day in book.market_days.values()
        ],
    )
    new_id = {}
    for batch in book.batches.values():
        moves = moves_of(book, batch.id)
        (made,) = living.do(
            actions.picks.add,
            PickEntry(
                crop=batch.crop,
                place_id=moves[0].place_id,
                picked_at=batch.picked_at,
                cultivar_id=batch.cultivar_id,
                row_id=batch.row_id,
                count=batch.count,
                feel_counts=batch.feel_counts,
                pulp_c=batch.pulp_c,
            ),
        )
        assert made.code == batch.code
        new_id[batch.id] = made.id
        for move in moves[1:]:
            living.do(actions.moves.move, [made.id], move.place_id, move.at)
    for check in sorted(book.checks.values(), key=lambda c: c.at):
        living.do(
            actions.checks.add,
            CheckEntry(
                batch_id=new_id[check.batch_id],
                at=check.at,
                feel_counts=check.feel_counts,
                readings=check.readings,
                reading_unit=check.reading_unit,
                probe_mm=check.probe_mm,
            ),
        )
    sales = {day.id: outcomes_of(book, day.id) for day in book.market_days.values()}
    for removal in sorted(book.removals.values(), key=lambda r: r.at):
        if removal.market_day_id is None:
            batch_id = new_id[removal.batch_id]
            living.do(
                actions.batches.take_out, batch_id, removal.count, removal.outcome, removal.at
            )
        elif outcomes := sales.pop(removal.market_day_id, ()):
            brought = [replace(one, batch_id=new_id[one.batch_id]) for one in outcomes]
            living.do(actions.settling.settle, removal.market_day_id, brought, removal.at, None)
    for pick in book.expected_picks.values():
        living.do(actions.ahead.save_expected_pick, pick)
    living.do(actions.ahead.save_second_grades, list(book.second_grades.values()))
    assert living.book.expected_picks == book.expected_picks
    assert living.book.second_grades == book.second_grades
    assert len(living.book.brought) == len(book.brought)
    assert {d.id for d in living.book.market_days.values() if d.settled_at} == {
        d.id for d in book.market_days.values() if d.settled_at
    }
    assert len(living.book.checks) == len(book.checks)
    assert living.book.places == book.places
    assert living.book.wants == book.wants
    assert len(living.book.moves) == len(book.moves)
    assert len(living.book.removals) == len(book.removals)
    assert len(living.book.set_points) == len(book.set_points)
    living.close()


def test_its_checks_teach_that_the_early_rows_soften_faster(practice: Season) -> None:
    book = practice.book
    assert 10 <= len(book.checks) <= 15
    assert {bool(check.readings) for check in book.checks.values()} == {True, False}
    learned = practice.learn()
    assert (learned.surprising, learned.unlearnable) == ((), ())
    [early] = [key for key, cultivar in book.cultivars.items() if cultivar.group == "early"]
    rate = learned.rate_of("pawpaw", early)
    assert rate is not None
    assert rate.factor.low > 1.0
    assert rate.checks >= 5


def test_nothing_is_sold_twice_or_before_it_was_picked(book: Book) -> None:
    gone = Counter[str]()
    for removal in book.removals.values():
        batch = book.batches[removal.batch_id]
        gone[batch.id] += removal.count
        assert removal.at >= batch.picked_at
        assert gone[batch.id] <= (batch.count or 0)
    sold = [r for r in book.removals.values() if r.outcome == "sold"]
    assert len(sold) > 10
    assert any(r.outcome == "discarded" for r in book.removals.values())


def test_there_is_a_glut_before_a_market_and_a_batch_near_its_chilling_limit(
    practice: Season,
) -> None:
    told = {n.kind: n for n in practice.notices()}
    glut = told[NoticeKind.GLUT]
    assert glut.values["ready"] > 1.5 * glut.values["wanted"]
    chilling = told[NoticeKind.CHILLING]
    assert 0.6 < chilling.values["used"] < 1.0
    assert chilling.values["left"] > 0.0


def test_every_state_is_to_be_seen(practice: Season) -> None:
    projection = practice.projection()
    there = projection.left > 0.0
    assert set(projection.state[there].tolist()) == set(map(int, FruitState))


def test_a_pull_is_planned(practice: Season) -> None:
    now = practice.now()
    assert sum(move.at > now for move in practice.book.moves.values()) >= 2


def test_past_market_days_are_settled_and_what_came_is_what_went(book: Book) -> None:
    now = book.season.practice_now
    assert now is not None
    past = [day for day in book.market_days.values() if day.starts_at < now]
    assert past
    assert all(day.settled_at is not None and day.starts_at < day.settled_at < now for day in past)
    assert all(d.settled_at is None for d in book.market_days.values() if d not in past)
    outcomes = [outcome for day in past for outcome in outcomes_of(book, day.id)]
    assert all(outcome.came_back >= 0 for outcome in outcomes)
    assert any(outcome.came_back for outcome in outcomes)
    assert any(outcome.thrown for outcome in outcomes)
    assert all(outcome.price_minor for outcome in outcomes)


def test_picks_are_expected_and_second_grade_is_taken(book: Book) -> None:
    now = book.season.practice_now
    assert now is not None
    assert 2 <= len(book.expected_picks) <= 3
    assert all(pick.on > now.date() for pick in book.expected_picks.values())
    assert {grade.crop for grade in book.second_grades.values()} == {"pawpaw"}


def test_it_can_be_read_in_the_units_of_its_user(tmp_path: Path, book: Book) -> None:
    write_demo(tmp_path / "us.ripenroom", "us", "US")
    season = Season.open(tmp_path / "us.ripenroom")
    assert season.book.season == replace(book.season, units="us", currency="USD")
    assert season.book.batches == book.batches
    season.close()
