"""Picks that counted and walked rows make likely, and what the plan is given of them."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.forecast import orchard_forecast
from ripenroom.season.plans.expected_picks import likely_ahead
from ripenroom.season.plans.plan import LikelyPick
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState
from tests.season.plans.planning import LISBON


@pytest.fixture(scope="module")
def book() -> Book:
    return demo_book()


def state_of(book: Book) -> SeasonState:
    assert book.season.practice_now is not None
    return SeasonState(book, crops_of(book).profiles, book.season.practice_now, LISBON)


def of_rows(book: Book) -> list[LikelyPick]:
    return [one for one in likely_ahead(state_of(book)) if one.from_rows]


def without_said(book: Book) -> Book:
    """Nothing is expected by the grower."""
    return book.with_changes((), list(book.expected_picks.values()))


def cultivar(book: Book, name: str) -> str:
    return next(c.id for c in book.cultivars.values() if c.name == name)


def test_walked_rows_bring_picks_of_their_cultivars_with_their_doubt(book: Book) -> None:
    found = of_rows(without_said(book))
    late = [one for one in found if one.pick.cultivar_id == cultivar(book, "Late pawpaws")]
    assert late
    assert [one.pick.on for one in late] == sorted(one.pick.on for one in late)
    forecast = orchard_forecast(state_of(without_said(book)))
    row = next(r for r in book.rows.values() if r.name == "Wall row")
    of_row = forecast.of_row(row.id)
    assert of_row is not None
    until = late[-1].pick.on
    together = sum(one.pick.count for one in late)
    assert together == pytest.approx(of_row.by(until).mid, abs=5 + len(late))
    for one in late:
        assert one.count.low < one.count.mid < one.count.high
        assert one.of_rate > 0.0


def test_last_days_picks_count_only_for_what_no_row_tells(book: Book) -> None:
    bare = without_said(book)
    known = {one.pick.cultivar_id for one in of_rows(bare)}
    assert cultivar(book, "Late pawpaws") in known
    others = [one for one in likely_ahead(state_of(bare)) if not one.from_rows]
    # Pears and avocados are not walked; all pawpaws are.
    assert {one.pick.crop for one in others} <= {"pear", "avocado"}
    unwalked = bare.with_changes((), list(bare.walks.values()))
    assert not any(one.from_rows for one in likely_ahead(state_of(unwalked)))
    assert any(one.pick.crop == "pawpaw" for one in likely_ahead(state_of(unwalked)))


def test_typed_picks_win_until_their_last_day(book: Book) -> None:
    bare = without_said(book)
    [first, *_] = of_rows(bare)
    said = ExpectedPick(
        id="said",
        crop="pawpaw",
        on=first.pick.on + timedelta(days=5),
        count=30,
        place_id=first.pick.place_id,
    )
    later = of_rows(bare.with_changes([said]))
    assert all(one.pick.on > said.on for one in later)
    assert len(later) < len(of_rows(bare))


def test_nothing_more_ends_a_cultivar(book: Book) -> None:
    bare, late = without_said(book), cultivar(book, "Late pawpaws")
    state = state_of(bare)
    over = ExpectedPick(
        id="over",
        crop="pawpaw",
        on=state.today + timedelta(days=2),
        count=0,
        place_id=next(iter(bare.places)),
        cultivar_id=late,
    )
    left = [one for one in of_rows(bare.with_changes([over])) if one.pick.cultivar_id == late]
    assert all(one.pick.on < over.on for one in left)


def test_a_walk_moves_what_is_likely(book: Book) -> None:
    bare, late = without_said(book), cultivar(book, "Late pawpaws")
    row = next(r for r in book.rows.values() if r.cultivar_id == late)
    latest = max((w for w in bare.walks.values() if w.row_id == row.id), key=lambda w: w.at)

    def soon(counts: tuple[int, int, int, int, int]) -> int:
        changed = bare.with_changes([replace(latest, feel_counts=counts)])
        picks = [one.pick for one in of_rows(changed) if one.pick.cultivar_id == late]
        return sum(p.count for p in picks if p.on <= state_of(bare).today + timedelta(days=4))

    assert soon((29, 1, 0, 0, 0)) < soon((10, 12, 8, 0, 0))
