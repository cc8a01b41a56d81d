"""Tables of what a farm has: its batches and eat-by windows, its places, its rows of trees.

One row per batch, place or row of trees; dates and times are in the home zone.
"""

import math
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch
from ripenroom.records.check import last_felt
from ripenroom.season.moments import CLOCK_SLACK, from_hours
from ripenroom.season.orchard.orchard_types import FruitRange, OrchardForecast, RowFacts
from ripenroom.season.projection import EndCause, FloatColumn, Projection, no_date
from ripenroom.season.season import Season
from ripenroom.texts import noted

if TYPE_CHECKING:
    import pandas as pd


EAT_BY_COLUMNS = (
    "crop",
    "feel",
    "count",
    "batch",
    "place",
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
    "why_never_open",
)

END_CAUSES = {
    EndCause.TOO_SOFT: noted("too soft"),
    EndCause.RIPE_LIFE: noted("ripe life"),
    EndCause.CHILLING: noted("chilling"),
    EndCause.STORAGE_LIFE: noted("storage life"),
    EndCause.FREEZING: noted("frost"),
    EndCause.NEVER_READY: noted("never ready"),
}
"""What stands in the column ``end_cause``. Tables that people have kept and scripts that read them
go by these words, so they stay whatever the causes are called here."""

_Cells = tuple[object, ...]


def eat_by_table(season: Season) -> "pd.DataFrame":
    """One row per batch picked by the season's now, in the order of closing; never closing last.

    ``feel`` is how most of it felt when it was last squeezed, ``count`` is fruit left, ``place``
    where it is now; the shares are of that fruit. Empty where a date never comes;
    ``why_never_open`` is then the reason. Of a batch whose crop has no profile
    nothing more is known than is written.
    """
    import pandas as pd

    in_order = sorted(_batch_rows(season), key=lambda row: row[:2])
    return pd.DataFrame([cells for _, _, cells in in_order], columns=list(EAT_BY_COLUMNS))


def _batch_rows(season: Season) -> Iterator[tuple[float, str, _Cells]]:
    """When each batch closes (h, inf for never), its code, and its cells."""
    now, projection = season.now(), season.projection()
    squeezed = season.ask.last_squeezes()
    for batch in season.book.batches.values():
        if batch.picked_at > now + CLOCK_SLACK:
            continue
        place = season.place_of(batch.id, max(now, batch.picked_at))
        felt = last_felt(batch, squeezed.get(batch.id)) or ""
        where = (batch.code, place.name if place else "")
        line = projection.line_of.get(batch.id)
        if line is None:
            count = _counted_left(season, batch)
            yield math.inf, batch.code, (batch.crop, felt, count, *where, *_NOTHING_MORE)
        else:
            closes_h = float(projection.closes_h.mid[line])
            order = math.inf if math.isnan(closes_h) else closes_h
            count = round(float(projection.left[line]))
            dates = _worked_out(projection, line, season.zone)
            yield order, batch.code, (batch.crop, felt, count, *where, *dates)


_NOTHING_MORE = ("", "", "", "", noted("no crop profile"), *[""] * 7)


def _counted_left(season: Season, batch: Batch) -> object:
    if batch.count is None:
        return ""
    gone = (r for r in season.book.removals.values() if r.batch_id == batch.id)
    return batch.count - sum(r.count for r in gone if r.at <= season.now() + CLOCK_SLACK)


def _worked_out(projection: Projection, line: int, zone: ZoneInfo) -> _Cells:
    def iso(hours: FloatColumn) -> str:
        at_h = float(hours[line])
        return "" if math.isnan(at_h) else from_hours(at_h, zone).isoformat(timespec="minutes")

    share = float(projection.ready_at_best.mid[line])
    return (
        iso(projection.first_ready_h.mid),
        iso(projection.opens_h.mid),
        iso(projection.best_h.mid),
        iso(projection.closes_h.mid),
        _end_cause(projection, line),
        "" if math.isnan(share) else f"{share:.3f}",
        iso(projection.opens_h.low),
        iso(projection.opens_h.high),
        iso(projection.closes_h.low),
        iso(projection.closes_h.high),
        f"{float(projection.wont_ripen[line]):.3f}",
        no_date(projection, line) or "",
    )


def _end_cause(projection: Projection, line: int) -> str:
    """What ends the batch; empty where nothing does."""
    cause = EndCause(projection.end_cause[line])
    endless = math.isnan(projection.closes_h.mid[line]) and cause is not EndCause.NEVER_READY
    return "" if endless else END_CAUSES[cause]


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
            noted("heat") if found.by_heat else noted("calendar"),
        )


def _ends(count: FruitRange | None) -> tuple[int | None, int | None, int | None]:
    if count is None:
        return None, None, None
    return round(count.mid), round(count.low), round(count.high)
