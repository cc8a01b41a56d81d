"""The table of a plan: one row for all crates that go one way, times in the home zone."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "batch",
    "crates",
    "from_place",
    "pull_time",
    "to_place",
    "market_day",
    "expected_ready_share",
    "expected_value",
    "note",
)


def plan_table(season: Season, plan: Plan) -> "pd.DataFrame":
    """One row per line of the plan, by market day; values in the season's currency.

    ``pull_time`` is empty where crates stay, ``market_day`` where they are not sold, and then
    ``to_place`` too where they are cleared away. Where crates are moved twice, ``pull_time`` and
    ``to_place`` are of the last move, and the first is in the ``note``; there stands too what is
    kept for later, pinned, packed, sold for second grade or only expected.
    """
    import pandas as pd

    return pd.DataFrame([_cells(season, line) for line in plan.lines], columns=list(COLUMNS))


def _cells(season: Season, line: PlannedItinerary) -> tuple[object, ...]:
    book = season.book
    day = book.market_days[line.market_day_id] if line.market_day_id else None
    starts = day.starts_at.astimezone(season.zone) if day else None
    return (
        _name(season, line),
        line.crates,
        book.places[line.from_place_id].name,
        line.pull_at.isoformat(timespec="minutes") if line.pull_at else "",
        book.places[line.to_place_id].name if line.to_place_id else "",
        f"{starts:%Y-%m-%d} {day.name}" if day else "",
        f"{line.expected_ready_share:.3f}" if day or line.second_grade else "",
        money(season, line.expected_value_minor) if day or line.second_grade else "",
        "; ".join(_notes(season, line)),
    )


def _name(season: Season, line: PlannedItinerary) -> str:
    """The batch's code, or what will be picked."""
    pick = season.book.expected_picks.get(line.expected_pick_id or "")
    if pick is None:
        return season.book.batches[line.batch_id].code
    return f"{pick.crop} {pick.on:%m%d}"


def _notes(season: Season, line: PlannedItinerary) -> Iterator[str]:
    if line.expected_pick_id is not None:
        yield "not picked yet"
    if line.second_grade:
        yield "second grade"
    if line.kept:
        yield "kept for later"
    if line.pin_id is not None:
        yield "packed" if line.packed else "pinned"
    for step in line.steps[:-1]:
        place = season.book.places[step.place_id].name
        yield f"first to {place} {step.at.isoformat(timespec='minutes')}"


def money(season: Season, minor: float) -> str:
    """An amount in the season's currency, without its sign: for computers, with a decimal point."""
    decimals = season.book.season.currency_decimals
    return f"{minor / 10**decimals:.{decimals}f}"
