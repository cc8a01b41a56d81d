"""The lines of the plan as a table: one row for all crates that go one way."""

from collections.abc import Hashable, Sequence
from enum import IntEnum
from typing import TYPE_CHECKING

from ripenroom.season.plans.decisions import Decision, decision_of
from ripenroom.texts import tr
from ripenroom.window.session import Session
from ripenroom.window.widgets.column_widths import ColumnWidth
from ripenroom.window.widgets.table import RIGHT, TableColumn
from ripenroom.wording.plan.fates import Fates
from ripenroom.wording.plan.itineraries import fruit_of, fruit_words, market_words, place_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


class Column(IntEnum):
    """The columns from the left."""

    FRUIT = 0
    CRATES = 1
    BATCH = 2
    FROM = 3
    PULL = 4
    TO = 5
    MARKET = 6
    READY = 7
    WORTH = 8
    FIXED = 9


def itinerary_columns(
    session: Session, lines: "Sequence[PlannedItinerary]" = ()
) -> "list[TableColumn[PlannedItinerary]]":
    """The columns as :class:`Column` has them; numbers and times sort as such.

    Where the table is narrow, the columns that give way have their texts on two lines. The last
    column stands where one of the ``lines`` has something in it, in any window if that is a pin or
    packed; worth can be read on the page's first tab, what is ready with the market days.
    """

    fixed = any(line.packed or line.pin_id for line in lines)
    plan = session.plans.plan
    fates = None if plan is None else Fates(plan, session)

    def batch(line: "PlannedItinerary") -> str:
        pick = session.season.book.expected_picks.get(line.expected_pick_id or "")
        if pick is not None:
            said = tr("expected {day}").format(day=session.words.day(pick.on))
            return session.words.unbroken(said)
        return fruit_of(line, session)

    def crates(line: "PlannedItinerary") -> str:
        return session.words.number(line.crates)

    def moved(line: "PlannedItinerary") -> str:
        times = [step.at for step in line.steps]
        if line.second_grade and line.pull_at is not None:
            times = [line.pull_at]
        return "\n".join(session.words.moment(at) for at in times)

    def first_moved(line: "PlannedItinerary") -> float | None:
        first = line.steps[0].at if line.steps else line.pull_at
        return first.timestamp() if first else None

    def to(line: "PlannedItinerary") -> str:
        return "\n".join(place_words(step.place_id, session) for step in line.steps)

    def market(line: "PlannedItinerary") -> str:
        if not line.market_day_id:
            return "" if fates is None else fates.words(line)
        return session.words.unbroken(market_words(line.market_day_id, session))

    def market_starts(line: "PlannedItinerary") -> float | None:
        day = session.season.book.market_days.get(line.market_day_id or "")
        return day.starts_at.timestamp() if day else None

    def ready(line: "PlannedItinerary") -> str:
        return session.words.share(line.expected_ready_share) if _brings(line) else ""

    def worth(line: "PlannedItinerary") -> str:
        return session.words.money(round(line.expected_value_minor)) if _brings(line) else ""

    def decided(line: "PlannedItinerary") -> str:
        return decided_by_grower(line, session)

    return [
        TableColumn(
            tr("Fruit"),
            lambda line: fruit_words(line, session),
            lambda line: line.fruit,
            width=ColumnWidth(12),
        ),
        TableColumn(tr("Crates"), crates, lambda line: line.crates, RIGHT),
        TableColumn(tr("Batch"), batch, width=ColumnWidth(8)),
        TableColumn(
            tr("From"),
            lambda line: place_words(line.from_place_id, session),
            width=ColumnWidth(9, left_out=2),
        ),
        TableColumn(tr("Moved"), moved, first_moved),
        TableColumn(tr("To"), to, width=ColumnWidth(9)),
        TableColumn(tr("Market day"), market, market_starts, width=ColumnWidth(15)),
        TableColumn(
            tr("Good to sell"),
            ready,
            lambda line: line.expected_ready_share if _brings(line) else None,
            RIGHT,
            width=ColumnWidth(left_out=4),
        ),
        TableColumn(
            tr("Worth"),
            worth,
            lambda line: line.expected_value_minor if _brings(line) else None,
            RIGHT,
            width=ColumnWidth(left_out=1),
        ),
        TableColumn(
            tr("Decided"),
            decided,
            width=ColumnWidth(left_out=None if fixed else 3, may_be_unused=True),
        ),
    ]


def known_by(line: "PlannedItinerary") -> Hashable:
    """What says that a line of another plan is the same."""
    return line.batch_id, line.expected_pick_id, line.market_day_id, line.to_place_id


def there(session: Session) -> "list[PlannedItinerary]":
    """The plan's lines whose records are all still there."""
    plan, book = session.plans.plan, session.season.book

    def is_there(line: "PlannedItinerary") -> bool:
        fruit = line.batch_id in book.batches or line.expected_pick_id in book.expected_picks
        places = (line.from_place_id, *(step.place_id for step in line.steps))
        sold = line.market_day_id is None or line.market_day_id in book.market_days
        return fruit and sold and all(place in book.places for place in places)

    return [line for line in plan.lines if is_there(line)] if plan else []


def _brings(line: "PlannedItinerary") -> bool:
    """Whether money comes of it."""
    return line.market_day_id is not None or line.second_grade


def decided_by_grower(line: "PlannedItinerary", session: Session) -> str:
    """What a grower decided of a line: ``"packed"``, ``"pinned"``, ``"by you"``."""
    decision = decision_of(line, session.season.moves_of(line.batch_id))
    if decision is None:
        return ""
    return {
        Decision.PACKED: tr("packed"),
        Decision.PINNED: tr("pinned"),
        Decision.WRITTEN: tr("by you"),
    }[decision]
