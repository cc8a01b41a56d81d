"""The table of what to squeeze: one row per batch, what gains most first."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ripenroom.exchange.plan_table import money
from ripenroom.season.advice.advice import CheckNext
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = ("batch", "fruit", "place", "tells", "due", "market_day", "gain")


def check_table(season: Season, checks: Iterable[CheckNext]) -> "pd.DataFrame":
    """One row per batch of which some ``fruit`` are worth squeezing; times in the home zone.

    ``tells`` is what the check decides, and ``due`` when the first move or market day of the
    batch's own crates comes (empty: none does).
    ``market_day`` is where most of the batch is to go as yet (empty: nowhere), ``gain`` about what
    the plan gains from knowing, in the season's currency.
    """
    import pandas as pd

    return pd.DataFrame([_cells(season, check) for check in checks], columns=list(COLUMNS))


def _cells(season: Season, check: CheckNext) -> tuple[object, ...]:
    place = season.place_of(check.batch_id)
    day = season.book.market_days.get(check.market_day_id or "")
    starts = day.starts_at.astimezone(season.zone) if day else None
    return (
        season.book.batches[check.batch_id].code,
        check.fruit,
        place.name if place else "",
        check.reason.value,
        check.decides_at.isoformat(timespec="minutes") if check.decides_at else "",
        f"{starts:%Y-%m-%d} {day.name}" if day else "",
        money(season, check.gain_minor),
    )
