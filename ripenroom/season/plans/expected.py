"""Picks that are expected, as batches that a plan can count on before they exist."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.batch import FEELS, Batch, FeelCounts, Move
from ripenroom.records.book import Book
from ripenroom.season.moments import local_day
from ripenroom.season.state import SeasonState

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
