"""Picks to come as batches that a plan can count on: expected ones, and those that are only likely.

Likely are picks that nobody has typed as expected, but that walked rows or the last picks speak
for. Without them a plan would take what is at hand for all that there will ever be, and keep
it for the dearest market ahead while nearer ones go without. What the grower expects counts
instead: of a crop nothing else is likely until the last day on which a pick is written down as
expected, and nothing at all once it is said that nothing more comes.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from ripenroom.records.batch import FEELS, Batch, FeelCounts, Move
from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season.moments import local_day
from ripenroom.season.plans.last_picks import picks_from_last
from ripenroom.season.plans.plan import CountRange, LikelyCrop, LikelyPick, likely_range
from ripenroom.season.plans.row_picks import picks_from_rows
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_by_batch

PICKED_AT = time(12)
"""Local time from which an expected pick stands in its place."""

_FELT = 20
"""Fruit squeezed to tell a feel: the usual sample of a pick."""

_PREFIX = "expected "


def with_expected(
    state: SeasonState, likely: Sequence[ExpectedPick] = ()
) -> tuple[Book, Mapping[str, str]]:
    """A book in which expected picks, and those that are only ``likely``, are batches, and which
    batch stands for which pick, by id."""
    found: dict[str, str] = {}
    made: list[Batch | Move] = []
    for pick in (*still_expected(state.book, state.now, state.zone), *likely):
        if pick.crop not in state.crops or pick.place_id not in state.book.places:
            continue
        picked_at = max(datetime.combine(pick.on, PICKED_AT, tzinfo=state.zone), state.now)
        batch = Batch(
            id=_PREFIX + pick.id,
            code="",
            crop=pick.crop,
            picked_at=picked_at,
            cultivar_id=pick.cultivar_id if pick.cultivar_id in state.book.cultivars else None,
            count=pick.count,
            feel_counts=_counts(pick),
        )
        found[batch.id] = pick.id
        move = Move(id=batch.id, batch_id=batch.id, at=picked_at, place_id=pick.place_id)
        made += [batch, move]
    return (state.book.with_changes(made) if made else state.book), found


def still_expected(book: Book, now: datetime, zone: ZoneInfo) -> list[ExpectedPick]:
    """Picks of today and later that are not written down yet."""
    today = local_day(now, zone)
    picked: set[tuple[str, str | None, date]] = set()
    for batch in book.batches.values():
        day = local_day(batch.picked_at, zone)
        picked |= {(batch.crop, batch.cultivar_id, day), (batch.crop, None, day)}
    return [
        pick
        for pick in sorted(book.expected_picks.values(), key=lambda p: (p.on, p.id))
        if pick.on >= today
        and not pick.nothing_more
        and (pick.crop, pick.cultivar_id, pick.on) not in picked
    ]


def ends_of_picks(book: Book, zone: ZoneInfo) -> Mapping[tuple[str, str | None], date]:
    """From which day on nothing more comes, of crops (with None) and of cultivars.

    What was picked on a later day than the one that was said has shown that more comes.
    """
    last: dict[tuple[str, str | None], date] = {}
    for batch in book.batches.values():
        day = local_day(batch.picked_at, zone)
        for kind in {(batch.crop, batch.cultivar_id), (batch.crop, None)}:
            last[kind] = max(day, last.get(kind, day))
    ends: dict[tuple[str, str | None], date] = {}
    for pick in book.expected_picks.values():
        kind = pick.crop, pick.cultivar_id
        if pick.nothing_more and last.get(kind, pick.on) <= pick.on:
            ends[kind] = min(pick.on, ends.get(kind, pick.on))
    return ends


def _counts(pick: ExpectedPick) -> FeelCounts:
    felt = tuple(_FELT if feel == pick.feel else 0 for feel in FEELS)
    return felt[0], felt[1], felt[2], felt[3], felt[4]


_LIKELY_PREFIX = "likely "


def likely_picks(state: SeasonState, by_rows: bool = True) -> tuple[ExpectedPick, ...]:
    """:func:`likely_ahead` without the doubt."""
    return tuple(one.pick for one in likely_ahead(state, by_rows))


def likely_crops(state: SeasonState) -> tuple[LikelyCrop, ...]:
    """What is likely of each crop in all, by crop."""
    own: dict[str, list[LikelyPick]] = {}
    for one in likely_ahead(state):
        own.setdefault(one.pick.crop, []).append(one)
    return tuple(
        LikelyCrop(
            crop,
            picks[0].pick.on,
            picks[-1].pick.on,
            count_range(picks),
            max(one.pick_days for one in picks),
            any(one.from_rows for one in picks),
            tuple(dict.fromkeys(key for one in picks for key in one.not_begun)),
        )
        for crop, picks in own.items()
    )


def count_range(picks: Iterable[LikelyPick]) -> CountRange:
    """How many fruit some likely picks of one crop bring together, as one says it who is not sure.

    What differs from pick to pick averages out, what moves all alike adds up.
    """
    picks = tuple(picks)
    mid = sum(one.pick.count for one in picks)
    spread = math.hypot(
        *(one.of_day for one in picks),
        sum(one.of_rate for one in picks),
        sum(one.of_end for one in picks),
    )
    return likely_range(mid, spread)


def likely_ahead(state: SeasonState, by_rows: bool = True) -> tuple[LikelyPick, ...]:
    """Picks of days ahead that are likely as on ``now``: of cultivars whose rows were counted and
    walked by what hangs there, of all others by their crop's last picks.

    If not ``by_rows``, all are by the last picks: rows take a while to be learned.
    """
    today = state.today
    said_until: dict[str, date] = {}
    for pick in state.book.expected_picks.values():
        if not pick.nothing_more:
            said_until[pick.crop] = max(pick.on, said_until.get(pick.crop, pick.on))
    picked: dict[str, list[tuple[date, Batch]]] = {}
    # As they were picked: where as many went into one place as into another, the order of records
    # in a file makes no other plan.
    for batch in sorted(state.book.batches.values(), key=lambda one: (one.picked_at, one.code)):
        if batch.crop in state.crops and batch.picked_at <= state.now:
            day = local_day(batch.picked_at, state.zone)
            picked.setdefault(batch.crop, []).append((day, batch))
    places, ends = _first_places(state.book), ends_of_picks(state.book, state.zone)
    rows = picks_from_rows(state, ends, _LIKELY_PREFIX) if by_rows else {}
    found: list[LikelyPick] = []
    for crop in sorted({*picked, *(crop for crop, _ in rows)}):
        made = [one for (of_crop, _), likely in rows.items() if of_crop == crop for one in likely]
        known = frozenset(cultivar_id for of_crop, cultivar_id in rows if of_crop == crop)
        others = [
            (day, batch) for day, batch in picked.get(crop, ()) if batch.cultivar_id not in known
        ]
        if others:
            made += picks_from_last(state, crop, others, places, ends, known, _LIKELY_PREFIX)
        made.sort(key=lambda one: (one.pick.on, one.pick.id))
        found += [one for one in made if one.pick.on > said_until.get(crop, today)]
    return tuple(found)


def _first_places(book: Book) -> dict[str, str]:
    """The place that each batch was put into when it was picked."""
    return {key: moves[0].place_id for key, moves in moves_by_batch(book).items() if moves}
