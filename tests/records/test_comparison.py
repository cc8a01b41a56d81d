from dataclasses import replace
from datetime import date

from ripenroom.records.book import Book, Difference, differences, put_and_deleted
from ripenroom.records.orchard import Row
from ripenroom.records.season import SeasonDetails

SEASON = SeasonDetails(
    id="s", name="A", zone="UTC", first_day=date(2026, 8, 1), units="metric", currency="EUR"
)


def test_a_book_does_not_differ_from_itself() -> None:
    book = Book(SEASON).with_changes([Row(id="r", name="1")])
    assert differences(book, book) == ()
    assert differences(book, Book(SEASON).with_changes([Row(id="r", name="1")])) == ()


def test_what_was_added_changed_and_taken_away_is_told_and_leads_there() -> None:
    kept, old, gone = (Row(id=key, name=key) for key in ("kept", "old", "gone"))
    new, changed = Row(id="new", name="new"), replace(old, trees=4)
    before = Book(SEASON).with_changes([kept, old, gone])
    after = Book(replace(SEASON, name="B")).with_changes([kept, changed, new])
    found = differences(before, after)
    assert found[0] == Difference(SEASON, after.season)
    assert set(found[1:]) == {
        Difference(old, changed),
        Difference(None, new),
        Difference(gone, None),
    }
    assert {d.record.id for d in found} == {"s", "old", "new", "gone"}
    assert before.with_changes(*put_and_deleted(found)) == after
