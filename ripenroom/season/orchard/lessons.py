"""What walks and picks of a season taught of its cultivars on the tree, to begin another with.

Of another season's file, which is only read, there are its lessons, and its rows to be laid beside
this season's.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.check import TreeLesson
from ripenroom.science.orchard.cohort import NEEDS
from ripenroom.science.orchard.seasons import taught_by
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.learning.lessons import other_book
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.believed import OrchardBelief, belief_anew, orchard_belief
from ripenroom.season.orchard.orchard_rows import row_facts
from ripenroom.season.orchard.orchard_types import SeasonRows
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import noted

_UNSURE = 20.0
"""What a season taught less surely than this (tree days) is no lesson."""


def tree_lessons(state: SeasonState) -> tuple[TreeLesson, ...]:
    """One for each cultivar of which enough was seen, of rows that go by heat and by the calendar.

    What was believed before the season is taken out again, so that lessons of several seasons can
    be used side by side. A lesson of the same season has the same id, whenever it is drawn.
    """
    orchard = orchard_belief(state)
    if orchard is None:
        return ()
    after = orchard.belief.cultivars
    told, sd = taught_by(orchard.before, after)
    off = _days_off(state, orchard)
    found = []
    for place, group in enumerate(orchard.of.groups):
        rows = [row for row in orchard.of.rows if row.group == place]
        walks = sum(len(row.facts.walks) for row in rows)
        looks = walks + sum(len(row.picks) for row in rows)
        known = all(row.facts.row.bloomed_on is not None for row in rows)
        if not looks or not known or not np.isfinite(sd[place, 0]) or sd[place, 0] > _UNSURE:
            continue
        cultivar = state.book.cultivars[group.cultivar_id]
        by = "heat" if group.by_heat else "calendar"
        name = f"{state.book.season.id}/tree/{cultivar.crop}/{cultivar.name.casefold()}/{by}"
        # Of what walks did not teach the lesson says that it is not sure.
        log_sd = np.where(np.isfinite(sd[place]), sd[place], 3.0)
        found.append(
            TreeLesson(
                id=str(uuid5(NAMESPACE_URL, name)),
                crop=cultivar.crop,
                cultivar=cultivar.name,
                by_heat=group.by_heat,
                needs_days=float(told[place, 0]),
                needs_sd=float(sd[place, 0]),
                log_spread=float(told[place, 1]),
                log_spread_sd=float(min(log_sd[1], 3.0)),
                log_pace=float(np.clip(told[place, 2], -3.0, 3.0)),
                log_pace_sd=float(min(log_sd[2], 3.0)),
                walks=walks,
                taught_by=state.book.season.name,
                days_off=off.get(place),
            )
        )
    return tuple(found)


def _days_off(state: SeasonState, orchard: OrchardBelief) -> dict[int, float]:
    """By how many days the middle of a row's picking was off, half of the time, as it was foretold
    on the day before the first pick of its cultivar."""
    found: dict[int, float] = {}
    for place, first in _first_picks(orchard).items():
        then = _belief_before(state, first)
        if then is None:
            continue
        needed = {
            row.facts.row.id: then.belief.mean[n, NEEDS] for n, row in enumerate(then.of.rows)
        }
        off = [
            abs(orchard.belief.mean[n, NEEDS] - needed[row.facts.row.id])
            for n, row in enumerate(orchard.of.rows)
            if row.group == place and row.picks and row.facts.row.id in needed
        ]
        if off:
            found[place] = max(float(np.median(off)), 0.01)
    return found


def _belief_before(state: SeasonState, first: datetime) -> OrchardBelief | None:
    return belief_anew(replace(state, now=first - timedelta(minutes=1)))


def _first_picks(orchard: OrchardBelief) -> dict[int, datetime]:
    found: dict[int, datetime] = {}
    for row in orchard.of.rows:
        for batch in row.picks:
            found[row.group] = min(found.get(row.group, batch.picked_at), batch.picked_at)
    return found


def season_rows(book: Book) -> SeasonRows:
    """What became of each row of a season, and between which days it was picked."""
    zone = zone_of(book.season)
    days: dict[str, list[date]] = {}
    for batch in book.batches.values():
        if batch.row_id is not None:
            days.setdefault(batch.row_id, []).append(local_day(batch.picked_at, zone))
    facts = row_facts(book, crops_of(book).profiles)
    return SeasonRows(
        book.season.name,
        facts,
        {row_id: (min(of_row), max(of_row)) for row_id, of_row in days.items()},
    )


def rows_of_file(state: SeasonState, path: Path) -> SeasonRows:
    """The rows of another season; raises ``Refusal`` for this season's own file, and others that
    cannot be read."""
    own = noted("That is this season itself; choose another one.")
    book = other_book(path, state.book, own)
    crops, last = crops_of(book).profiles, _last_look(book) or state.now
    lessons = tree_lessons(SeasonState(book, crops, last, zone_of(book.season)))
    return replace(season_rows(book), lessons=lessons)


def _last_look(book: Book) -> datetime | None:
    """When anything was seen of the trees last."""
    seen = [walk.at for walk in book.walks.values()]
    seen += [batch.picked_at for batch in book.batches.values() if batch.row_id is not None]
    return max(seen, default=None)
