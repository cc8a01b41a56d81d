"""The table of a plan: one row for all crates that go one way, times in the home zone."""

from typing import TYPE_CHECKING

from ripenroom.season.living import LivingSeason
from ripenroom.season.plan import Plan, PlannedLine

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
)


def plan_table(season: LivingSeason, plan: Plan) -> "pd.DataFrame":
    """One row per line of the plan, by market day; values in the season's currency.

    ``pull_time`` is empty where crates stay, ``market_day`` where they are not sold, and then
    ``to_place`` too where they are cleared away.
    """
    import pandas as pd

    return pd.DataFrame([_cells(season, line) for line in plan.lines], columns=list(COLUMNS))


def _cells(season: LivingSeason, line: PlannedLine) -> tuple[object, ...]:
    book = season.book
    day = book.market_days[line.market_day_id] if line.market_day_id else None
    starts = day.starts_at.astimezone(season.zone) if day else None
    return (
        book.batches[line.batch_id].code,
        line.crates,
        book.places[line.from_place_id].name,
        line.pull_at.isoformat(timespec="minutes") if line.pull_at else "",
        book.places[line.to_place_id].name if line.to_place_id else "",
        f"{starts:%Y-%m-%d} {day.name}" if day else "",
        f"{line.expected_ready_share:.3f}" if day else "",
        money(season, line.expected_value_minor) if day else "",
    )


def money(season: LivingSeason, minor: float) -> str:
    """An amount in the season's currency, without its sign: for computers, with a decimal point."""
    decimals = season.book.season.currency_decimals
    return f"{minor / 10**decimals:.{decimals}f}"
