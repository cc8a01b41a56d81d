"""The table of the rows of trees: what is known of each, and what is expected of it."""

import math
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from ripenroom.season.orchard.found import FruitRange, OrchardForecast, RowFacts
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

_RANGED = ("counted", "hanging", "to_pick", "frost_reaches")

COLUMNS = (
    *("row", "cultivar", "trees", "bloomed_on", "walks", "picked", "fallen", "sold"),
    *(f"{what}{end}" for what in _RANGED for end in ("", "_low", "_high")),
    *("by", "walk_every_days", "clock"),
)
"""Numbers are fruit, with the ends of their 80 % ranges; ``to_pick`` is from today to ``by``."""


def orchard_table(season: Season, by: date) -> "pd.DataFrame":
    """Rows by name; what is not known is left empty. ``clock`` is "heat" where degree days since
    bloom are counted, else "calendar"."""
    import pandas as pd

    forecast = season.ask.orchard()
    facts = season.ask.row_facts()
    rows = list(_rows(season, facts, forecast, by))
    return pd.DataFrame(rows, columns=list(COLUMNS), dtype=object)


def _rows(
    season: Season, facts: tuple[RowFacts, ...], forecast: OrchardForecast, by: date
) -> Iterator[tuple[object, ...]]:
    book = season.book
    for one in facts:
        cultivar = book.cultivars.get(one.row.cultivar_id or "")
        about = (
            one.row.name,
            cultivar.name if cultivar else "",
            one.row.trees,
            one.row.bloomed_on,
            len(one.walks),
            round(one.tally.picked),
            one.on_ground,
            round(one.tally.sold + one.tally.second),
            *_ends(one.counted.range if one.counted else None),
        )
        found = forecast.of_row(one.row.id)
        if found is None:
            yield (*about, *(None,) * 9, by, None, "")
            continue
        every = found.walk_every_days
        yield (
            *about,
            *_ends(found.hanging),
            *_ends(found.by(by)),
            *_ends(found.frost_reaches),
            by,
            None if math.isinf(every) else round(every, 1),
            "heat" if found.by_heat else "calendar",
        )


def _ends(count: FruitRange | None) -> tuple[int | None, int | None, int | None]:
    if count is None:
        return None, None, None
    return round(count.mid), round(count.low), round(count.high)
