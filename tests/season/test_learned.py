"""When what was learned is news, and when it is what was known before."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.learned import Learned
from ripenroom.season.questions import Questions
from ripenroom.season.season import Season


@pytest.fixture
def known(practice: Season) -> Learned:
    """What the practice season's checks taught so far."""
    learned = practice.learn()
    assert learned.checks
    return learned


def _checked(practice: Season, known: Learned) -> str:
    """A batch with fruit left of which something was learned."""
    return next(key for key in known.batches if practice.ask.fruit_left(key) > 9)


def test_fruit_that_was_not_checked_and_what_comes_after_a_check_teach_nothing_new(
    practice: Season, known: Learned
) -> None:
    batch = next(b for b in practice.book.batches.values() if b.id not in known.batches)
    alike = replace(batch, id="another", code="X-1")
    move = replace(practice.moves_of(batch.id)[0], id="came", batch_id="another")
    with_more = practice.state.with_changes([alike, move])
    assert with_more.learned is known
    assert practice.ask.learned().tells_nothing_new(known)
    assert Questions(with_more).learned().tells_nothing_new(known)
    place = next(p.id for p in practice.book.places.values() if p.kind == "cold room")
    practice.do(actions.places.set_set_point, place, 3.5)
    assert practice.ask.learned().tells_nothing_new(known)


def test_a_check_more_or_fewer_is_news_and_so_is_the_first(
    practice: Season, known: Learned
) -> None:
    assert not known.tells_nothing_new(None)
    assert not known.tells_nothing_new(Learned(at_h=known.at_h))
    check_id = next(iter(known.checks))
    practice.do(actions.checks.count_in, check_id, False)
    assert not practice.ask.learned().tells_nothing_new(known)
    practice.undo()
    assert practice.ask.learned().tells_nothing_new(known)
    entry = CheckEntry(
        batch_id=_checked(practice, known),
        at=practice.now(),
        feel_counts=(0, 3, 3, 0, 0),
        answered=frozenset({"surprise"}),
    )
    practice.do(actions.checks.add, entry)
    assert not practice.ask.learned().tells_nothing_new(known)


def test_a_check_that_is_left_out_is_news_where_it_no_longer_stands_to_the_others_as_before(
    practice: Season, known: Learned
) -> None:
    fits, contradicts = (0, 3, 3, 0, 0), (0, 0, 0, 0, 30)
    answered = frozenset({"surprise", "count", "feel_counts"})
    entry = CheckEntry(
        batch_id=_checked(practice, known),
        at=practice.now(),
        feel_counts=fits,
        answered=answered,
    )
    check = replace(practice.do(actions.checks.add, entry), counted=False)
    practice.do(actions.checks.count_in, check.id, False)
    before = practice.learn()
    assert not before.checks[check.id].surprising
    practice.do(actions.checks.change, replace(check, feel_counts=contradicts), answered=answered)
    odd = practice.ask.learned()
    assert odd.checks[check.id].surprising
    assert not odd.tells_nothing_new(before)
    practice.undo()
    assert not practice.ask.learned().tells_nothing_new(odd)
    assert practice.ask.learned().tells_nothing_new(before)


def test_where_checked_fruit_had_been_before_is_news(practice: Season, known: Learned) -> None:
    key = _checked(practice, known)
    batch = practice.book.batches[key]
    own = min(c.at for c in practice.book.checks.values() if c.batch_id == key)
    here = practice.moves_of(key)[0].place_id
    other = next(place for place in practice.book.places if place != here)
    at = max(batch.picked_at + timedelta(minutes=1), own - timedelta(days=1))
    practice.do(actions.moves.move, [key], other, at)
    assert not practice.ask.learned().tells_nothing_new(known)
