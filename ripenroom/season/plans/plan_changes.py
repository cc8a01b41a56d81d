"""What a plan does otherwise than the plan before it, batch by batch."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from ripenroom.records.book import Book
from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMove
from ripenroom.season.whereabouts import line_of_descent

_SAME_TIME = timedelta(minutes=30)


class ChangeKind(StrEnum):
    """How crates go otherwise."""

    NEW_BATCH = "new batch"
    GONE = "gone"
    EARLIER = "earlier"
    LATER = "later"
    OTHER_PLACE = "other place"
    OTHER_MARKET = "other market"
    SOLD_NOW = "sold now"
    LEFT_OVER = "left over"
    MORE = "more"
    FEWER = "fewer"


@dataclass(frozen=True, slots=True)
class PlanChange:
    """So many ``crates`` of a batch, or of an expected pick, go otherwise than planned before.

    Both ids are "" and None where they do not apply. What was planned before and is planned now is
    None where there is no such thing; of two moves the last is told. ``second_grade`` says whether
    it is sold as such now; ``SOLD_NOW`` crates had no market before, ``LEFT_OVER`` ones have none
    any more.
    """

    kind: ChangeKind
    batch_id: str
    crates: int
    market_day_id_before: str | None = None
    market_day_id_after: str | None = None
    pull_at_before: datetime | None = None
    pull_at_after: datetime | None = None
    place_id_before: str | None = None
    place_id_after: str | None = None
    second_grade: bool = False
    expected_pick_id: str | None = None


def changes_between(before: Plan, after: Plan, book: Book) -> tuple[PlanChange, ...]:
    """What is planned otherwise, in the order of the later plan's lines; what is gone comes last.

    ``book`` is what the later plan was made from. What went as planned is no change: a move that
    was made, a market day that is over, crates that are a batch of their own now.
    """
    then, now = _by_batch(before.lines, book, before), _by_batch(after.lines, book, before)
    over = {day.id for day in book.market_days.values() if day.starts_at <= after.made_at}
    found: list[PlanChange] = []
    for key, lines in now.items():
        old = then.get(key)
        if old is None:
            found += [_change(ChangeKind.NEW_BATCH, None, line, line.crates) for line in lines]
            continue
        stays = {line.from_place_id for line in lines}
        ahead = [
            _still_ahead(line, stays, after.made_at)
            for line in old
            if line.market_day_id not in over and not _sold_by(line, after.made_at)
        ]
        sold = sum(line.crates for line in old) - sum(line.crates for line in ahead)
        found += _changes(ahead, lines, sold)
    for key, old in then.items():
        if key not in now:
            left = [
                line
                for line in old
                if line.market_day_id not in over and not _sold_by(line, after.made_at)
            ]
            found += [_change(ChangeKind.GONE, line, None, line.crates) for line in left]
    return tuple(found)


_Lines = dict[tuple[str, str | None], list[PlannedItinerary]]


def _by_batch(lines: Sequence[PlannedItinerary], book: Book, before: Plan) -> _Lines:
    """Lines by the batch that the plan before knew them as, or by expected pick."""
    known = {line.batch_id for line in before.lines}
    found: _Lines = {}
    for line in lines:
        descent = [*line_of_descent(line.batch_id, book.batches)]
        root = next((key for key in descent if key in known), descent[-1])
        found.setdefault((root, line.expected_pick_id), []).append(line)
    return found


def _sold_by(line: PlannedItinerary, now: datetime) -> bool:
    return line.second_grade and line.pull_at is not None and line.pull_at <= now


def _still_ahead(line: PlannedItinerary, stays: set[str], now: datetime) -> PlannedItinerary:
    """A line of before as it would stand now, if what was to be done by now was done."""
    steps: list[PlannedMove] = list(line.steps)
    while steps and steps[0].at <= now and steps[0].place_id in stays:
        line = replace(line, from_place_id=steps.pop(0).place_id)
    if len(steps) == len(line.steps) or line.second_grade:
        return line
    last = steps[-1] if steps else None
    return replace(
        line,
        steps=tuple(steps),
        pull_at=last.at if last else None,
        to_place_id=last.place_id if last else line.from_place_id,
    )


_Same = Callable[[PlannedItinerary, PlannedItinerary], bool]


def _changes(
    before: Sequence[PlannedItinerary], after: Sequence[PlannedItinerary], sold: int
) -> Iterator[PlanChange]:
    """Match crates to crates, those that go most alike first; what is left over is more or fewer.

    Where ``sold`` crates were to be gone by now, as many more than planned are no news.
    """
    old = Counter({n: line.crates for n, line in enumerate(before)})
    new = Counter({n: line.crates for n, line in enumerate(after)})
    for same, kind in _LIKE:
        for a, now_line in enumerate(after):
            for b, then_line in enumerate(before):
                crates = min(old[b], new[a])
                if crates and same(then_line, now_line):
                    old[b] -= crates
                    new[a] -= crates
                    if kind is not None:
                        yield _change(kind(then_line, now_line), then_line, now_line, crates)
    for n, line in enumerate(after):
        crates = max(0, new[n] - sold)
        sold = max(0, sold - new[n])
        if crates:
            yield _change(ChangeKind.MORE, None, line, crates)
    for n, line in enumerate(before):
        if old[n] and _goes(line):
            yield _change(ChangeKind.FEWER, line, None, old[n])


def _goes(line: PlannedItinerary) -> bool:
    """Whether crates are sold, in whatever way."""
    return line.market_day_id is not None or line.second_grade


def _same_sale(a: PlannedItinerary, b: PlannedItinerary) -> bool:
    return a.market_day_id == b.market_day_id and a.second_grade == b.second_grade


def _same_time(a: PlannedItinerary, b: PlannedItinerary) -> bool:
    if a.pull_at is None or b.pull_at is None:
        return a.pull_at is b.pull_at
    return abs(a.pull_at - b.pull_at) < _SAME_TIME


def _same_place(a: PlannedItinerary, b: PlannedItinerary) -> bool:
    return a.to_place_id == b.to_place_id


def _same_way(a: PlannedItinerary, b: PlannedItinerary) -> bool:
    first = len(a.steps) == len(b.steps) and all(
        x.place_id == y.place_id and abs(x.at - y.at) < _SAME_TIME
        for x, y in zip(a.steps, b.steps, strict=True)
    )
    return _same_sale(a, b) and _same_place(a, b) and _same_time(a, b) and first


def _neither_goes(a: PlannedItinerary, b: PlannedItinerary) -> bool:
    return not _goes(a) and not _goes(b)


def _sooner_or_later(a: PlannedItinerary, b: PlannedItinerary) -> ChangeKind:
    if a.pull_at is None:
        return ChangeKind.LATER if b.second_grade else ChangeKind.OTHER_PLACE
    if b.pull_at is None:
        return ChangeKind.EARLIER
    return ChangeKind.EARLIER if b.pull_at < a.pull_at else ChangeKind.LATER


def _first_step_or_time(a: PlannedItinerary, b: PlannedItinerary) -> ChangeKind:
    return ChangeKind.OTHER_PLACE if _same_time(a, b) else _sooner_or_later(a, b)


def _otherwise(a: PlannedItinerary, b: PlannedItinerary) -> ChangeKind:
    if not _goes(a):
        return ChangeKind.SOLD_NOW
    return ChangeKind.OTHER_MARKET if _goes(b) else ChangeKind.LEFT_OVER


_LIKE: tuple[
    tuple[_Same, Callable[[PlannedItinerary, PlannedItinerary], ChangeKind] | None], ...
] = (
    (_same_way, None),
    (_neither_goes, None),
    (lambda a, b: _same_sale(a, b) and _same_place(a, b), _first_step_or_time),
    (_same_sale, lambda a, b: ChangeKind.OTHER_PLACE),
    (lambda a, b: True, _otherwise),
)
"""Ways in which crates go alike, from most to least, and what the difference is called."""


def _change(
    kind: ChangeKind, before: PlannedItinerary | None, after: PlannedItinerary | None, crates: int
) -> PlanChange:
    told = after or before
    assert told is not None
    return PlanChange(
        kind=kind,
        batch_id=told.batch_id,
        crates=crates,
        market_day_id_before=before.market_day_id if before else None,
        market_day_id_after=after.market_day_id if after else None,
        pull_at_before=before.pull_at if before else None,
        pull_at_after=after.pull_at if after else None,
        place_id_before=before.to_place_id if before else None,
        place_id_after=after.to_place_id if after else None,
        second_grade=after is not None and after.second_grade,
        expected_pick_id=told.expected_pick_id,
    )
