"""Picks of crops with a gate, by colour and of dates only, put into the practice season."""

from datetime import timedelta

from ripenroom.records.batch import FeelCounts
from ripenroom.records.entry import PickEntry
from ripenroom.season import actions
from ripenroom.window.session import Session

HARD: FeelCounts = (40, 0, 0, 0, 0)


def pick(
    session: Session, crop: str, *, warm: bool, feel: FeelCounts | None = HARD, days_ago: int = 2
) -> str:
    """One batch of a crop in the season's coldest or warmest place; its id."""
    season = session.season
    extreme = max if warm else min
    entry = PickEntry(
        crop=crop,
        place_id=extreme(season.book.places, key=season.set_point_c),
        picked_at=season.now() - timedelta(days=days_ago),
        count=40,
        feel_counts=feel,
        split_by_feel=False,
    )
    [batch] = season.do(actions.picks.add, entry)
    return batch.id
