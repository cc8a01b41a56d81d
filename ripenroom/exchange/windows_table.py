"""The table of eat-by windows: one row per batch, dates in the home zone with their offset."""

import math
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.season.living import LivingSeason
from ripenroom.season.moments import from_hours
from ripenroom.season.projection import EndCause

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "batch",
    "crop",
    "place",
    "count",
    "first_ready",
    "opens",
    "best_day",
    "closes",
    "end_cause",
    "ready_at_best",
    "opens_low",
    "opens_high",
    "closes_low",
    "closes_high",
    "wont_ripen",
)

_RISKY_FIRST = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes a cell that begins so for a formula."""


def windows_table(season: LivingSeason) -> "pd.DataFrame":
    """One row per batch picked by the season's now, in the order of closing.

    ``count`` is fruit left, ``place`` where it is now; the shares are of that fruit. Empty where a
    date never comes.
    """
    import pandas as pd

    projection = season.projection()
    zone = season.zone

    def iso(hours: float) -> str:
        if math.isnan(hours):
            return ""
        return from_hours(hours, zone).isoformat(timespec="minutes")

    rows = []
    for line, batch_id in enumerate(projection.batch_ids):
        batch = season.book.batches[batch_id]
        place = season.place_of(batch_id)
        if place is None:
            continue
        share = float(projection.ready_at_best.mid[line])
        rows.append(
            (
                batch.code,
                batch.crop,
                place.name,
                round(float(projection.left[line])),
                iso(projection.first_ready_h.mid[line]),
                iso(projection.opens_h.mid[line]),
                iso(projection.best_h.mid[line]),
                iso(projection.closes_h.mid[line]),
                EndCause(projection.end_cause[line]).name.lower().replace("_", " "),
                "" if math.isnan(share) else f"{share:.3f}",
                iso(projection.opens_h.low[line]),
                iso(projection.opens_h.high[line]),
                iso(projection.closes_h.low[line]),
                iso(projection.closes_h.high[line]),
                f"{float(projection.wont_ripen[line]):.3f}",
            )
        )
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    return table.sort_values(["closes", "batch"], ignore_index=True, na_position="last")


def write_csv(table: "pd.DataFrame", path: Path) -> None:
    """Write a table as UTF-8 CSV for computers: commas, decimal points, no formula in any cell."""
    safe = table.copy()
    for column in ("batch", "crop", "place"):
        safe[column] = [_plain(str(cell)) for cell in safe[column]]
    safe.to_csv(path, index=False, lineterminator="\n", encoding="utf-8")


def _plain(text: str) -> str:
    return f"'{text}" if text.startswith(_RISKY_FIRST) else text
