"""The table of what thermometers tell: one row per place with a log and crop that was there."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.season.moments import from_hours
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
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

    return pd.DataFrame(list(_rows(season)), columns=list(COLUMNS))


def _rows(season: Season) -> Iterator[tuple[object, ...]]:
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
