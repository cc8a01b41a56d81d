"""Tables of what a farm has: its places, by their thermometers, and its rows of trees."""

import math
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from ripenroom.season.moments import from_hours
from ripenroom.season.orchard.orchard_types import FruitRange, OrchardForecast, RowFacts
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd


ROOM_COLUMNS = (
    "place",
    "from",
    "to",
    "hours_read",
    "gaps",
    "mean_c",
    "low_c",
    "high_c",
    "set_point_c",
    "hours_too_warm",
    "hours_too_cold",
    "crop",
    "ageing_factor",
)


def rooms_table(season: Season) -> "pd.DataFrame":
    """Places by name, temperatures in C, times in the home zone.

    ``low_c`` to ``high_c`` hold the air for 80 % of the time, ``ageing_factor`` is how many times
    as fast as by its set point the crop aged there. It and ``crop`` are empty where no fruit was.
    """
    import pandas as pd

    return pd.DataFrame(list(_room_rows(season)), columns=list(ROOM_COLUMNS))


def _room_rows(season: Season) -> Iterator[tuple[object, ...]]:
    for place in sorted(season.book.places.values(), key=lambda place: place.name.casefold()):
        report = season.room_report(place.id)
        if report is None:
            continue
        spans = (from_hours(hours, season.zone) for hours in (report.starts_h, report.ends_h))
        about = (
            place.name,
            *(at.isoformat(timespec="minutes") for at in spans),
            f"{report.logged_h:.1f}",
            len(report.gaps),
            f"{report.mean_c:.2f}",
            f"{report.low_c:.2f}",
            f"{report.high_c:.2f}",
            f"{report.set_point_c:.2f}",
            f"{report.above_h:.1f}",
            f"{report.below_h:.1f}",
        )
        for crop, factor in report.ageing.items():
            yield (*about, crop, f"{factor:.2f}")
        if not report.ageing:
            yield (*about, "", "")


_RANGED = ("counted", "hanging", "to_pick", "frost_reaches")

TREE_ROW_COLUMNS = (
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
    rows = list(_tree_row_rows(season, facts, forecast, by))
    return pd.DataFrame(rows, columns=list(TREE_ROW_COLUMNS), dtype=object)


def _tree_row_rows(
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
