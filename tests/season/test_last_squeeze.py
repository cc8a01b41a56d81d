"""What is said of how a part feels that was split off, and was squeezed with the whole."""

from dataclasses import replace
from datetime import timedelta

from ripenroom.records.batch import FeelCounts
from ripenroom.records.check import Check
from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.last_squeeze import last_squeeze, last_squeezes
from ripenroom.season.season import Season
from tests.season.farm import NOW, ROOM, SHELF, YESTERDAY, entry

GIVES: FeelCounts = (0, 0, 6, 0, 0)


def check(number: int, batch_id: str, hours: float, feel: FeelCounts = GIVES) -> Check:
    at = YESTERDAY + timedelta(hours=hours)
    return replace(Check(id=f"c{number}", batch_id=batch_id, at=at), feel_counts=feel)


def parted(season: Season) -> tuple[str, str]:
    """Ids of a batch that gave slightly when it was picked, and of half of it."""
    picked = entry(picked_at=YESTERDAY, feel_counts=(0, 40, 0, 0, 0))
    (batch,) = season.do(actions.picks.add, picked)
    part = season.do(actions.splitting.split, batch.id, 20)
    return batch.id, part.id


def felt(season: Season, batch_id: str, *checks: Check) -> str | None:
    """How a batch was felt last, where these checks stand in the season too."""
    book = season.book.with_changes(checks)
    last = last_squeeze(batch_id, book)
    assert last == last_squeezes(book).get(batch_id)
    return None if last is None else last.id


def test_a_part_feels_as_the_whole_did_until_it_is_squeezed_itself(living: Season) -> None:
    whole, part = parted(living)
    with_whole = check(1, whole, 3.0)
    assert felt(living, part) is None
    assert felt(living, part, with_whole) == "c1"
    assert felt(living, part, with_whole, check(2, part, 2.0)) == "c2"
    assert felt(living, whole, with_whole, check(2, part, 5.0)) == "c1"


def test_what_the_whole_felt_like_after_the_part_went_away_is_not_the_part(living: Season) -> None:
    whole, part = parted(living)
    living.do(actions.moves.move, [part], ROOM, NOW)
    before, after = check(1, whole, 3.0), check(2, whole, 24.0 * 7)
    assert felt(living, part, before, after) == "c1"
    assert felt(living, whole, before, after) == "c2"


def test_a_part_of_a_part_goes_back_to_the_first(living: Season) -> None:
    whole, part = parted(living)
    other = living.do(actions.splitting.split, part, 5).id
    living.do(actions.moves.move, [part], ROOM, NOW)
    living.do(actions.moves.move, [other], SHELF, NOW + timedelta(hours=1))
    assert felt(living, other, check(1, whole, 3.0)) == "c1"


def test_what_was_picked_over_is_no_longer_like_the_rest(living: Season) -> None:
    whole, part = parted(living)
    picked_over = replace(living.book.batches[part], picked_over="c1", taken=True)
    book = living.book.with_changes([picked_over, check(1, whole, 3.0)])
    assert last_squeeze(part, book) is None


def test_every_page_and_table_says_it_of_a_part(living: Season) -> None:
    whole, part = parted(living)
    assert living.ask.last_felt(part) == "slight give"
    squeezed = CheckEntry(
        batch_id=whole, at=NOW, feel_counts=GIVES, answered=frozenset({"surprise"})
    )
    living.do(actions.checks.add, squeezed)
    assert living.ask.last_felt(part) == living.ask.last_felt(whole) == "gives"
