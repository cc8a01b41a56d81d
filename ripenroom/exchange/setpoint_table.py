"""The table of set points that were tried, and the advice in words."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.exchange.plan_table import money
from ripenroom.season.advice.advice import PlaceAdvice, RoomPair, SetPointAdvice
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "place",
    "set_point_c",
    "other_place",
    "other_set_point_c",
    "value",
    "sold_share",
    "chilling_used",
)

_Cells = tuple[object, ...]


def setpoint_table(season: Season, advice: SetPointAdvice) -> "pd.DataFrame":
    """One row per setting that was tried, or per two settings of a pair of rooms.

    ``value`` is about what plans come to, in the season's currency; the shares are of all fruit at
    hand, and of the chilling allowance of the fruit that is sold.
    """
    import pandas as pd

    rows = list(_pair_rows(season, advice.pair)) if advice.pair else []
    paired = (advice.pair.cold_id, advice.pair.ripening_id) if advice.pair else ()
    for place in advice.places:
        if place.place_id not in paired:
            rows += _single_rows(season, place)
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _pair_rows(season: Season, pair: RoomPair) -> Iterator[_Cells]:
    places = season.book.places
    cold, ripening = places[pair.cold_id].name, places[pair.ripening_id].name
    for row, cold_c in enumerate(pair.cold_c):
        for column, ripening_c in enumerate(pair.ripening_c):
            yield (
                cold,
                cold_c,
                ripening,
                ripening_c,
                money(season, pair.value_minor[row][column]),
                f"{pair.sold_share[row][column]:.3f}",
                f"{pair.chilling_used[row][column]:.3f}",
            )


def _single_rows(season: Season, place: PlaceAdvice) -> Iterator[_Cells]:
    curve = place.curve
    tried = zip(
        curve.set_points_c, curve.value_minor, curve.sold_share, curve.chilling_used, strict=True
    )
    for celsius, value, sold, chilling in tried:
        name = season.book.places[place.place_id].name
        yield name, celsius, "", "", money(season, value), f"{sold:.3f}", f"{chilling:.3f}"
