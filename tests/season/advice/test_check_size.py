"""How many fruit to squeeze, and about which date that tells."""

import pytest

from ripenroom.season import actions
from ripenroom.season.advice.advice import DateKind
from ripenroom.season.learned import CheckKind
from ripenroom.season.season import Season
from tests.season.farm import COLD, ROOM, entry

FEEL = CheckKind.FEEL


def test_in_the_warm_it_tells_when_the_batch_opens(living: Season) -> None:
    [batch] = living.do(actions.picks.add, entry(place_id=ROOM))
    design = living.ask.check_design(batch.id, FEEL)
    assert design is not None
    assert design.date is DateKind.OPENS
    projection = living.projection()
    line = projection.line_of[batch.id]
    half = (projection.opens_h.high[line] - projection.opens_h.low[line]) / 48
    assert design.within_days[0] == pytest.approx(half)


def test_where_it_never_opens_it_tells_when_it_would_in_the_warm(living: Season) -> None:
    cold, warm = (living.do(actions.picks.add, entry(place_id=place))[0] for place in (COLD, ROOM))
    held, opening = (living.ask.check_design(batch.id, FEEL) for batch in (cold, warm))
    assert held is not None
    assert opening is not None
    assert held.date is DateKind.READY_IF_WARM
    # At 20 C both wait for the same: the doubt is alike.
    assert held.within_days[0] == pytest.approx(opening.within_days[0], rel=0.35)


def test_enough_fruit_tell_the_day_or_most_of_what_fruit_can(living: Season) -> None:
    [batch] = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=None, count=200))
    design = living.ask.check_design(batch.id, FEEL)
    assert design is not None
    assert design.enough is not None
    before, after = design.within_days[0], design.within_days[design.enough]
    best = design.within_days[-1]
    assert after <= 1.0 or (before - after) >= 0.75 * (before - best)
    assert design.enough >= 5


def test_hard_fruit_tells_next_to_nothing_by_hand(living: Season) -> None:
    [batch] = living.do(
        actions.picks.add, entry(crop="avocado", place_id=COLD, feel_counts=(30, 0, 0, 0, 0))
    )
    design = living.ask.check_design(batch.id, FEEL)
    assert design is not None
    assert design.enough is None


def test_of_fruit_that_is_past_no_date_lies_ahead(living: Season) -> None:
    [batch] = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 0, 0, 0, 20)))
    assert living.ask.check_design(batch.id, FEEL) is None
