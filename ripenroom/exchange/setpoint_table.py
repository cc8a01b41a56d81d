"""The table of set points that were tried, and the advice in words."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.exchange.plan_table import money
from ripenroom.season.advice.advice import PlaceAdvice, RoomPair, SetPointAdvice
from ripenroom.season.season import Season
from ripenroom.units import TemperatureUnit, temperature_in

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


def setpoint_words(season: Season, advice: SetPointAdvice) -> list[str]:
    """A line for each place, and what would be gained; temperatures in the season's units."""
    if not advice.places:
        return ["Nothing to advise: no fruit to sell, no market day ahead, or no thermostat."]
    together = 2 if advice.pair else 1
    lines = [_place_words(season, place) for place in advice.places]
    if advice.gain_minor >= 1.0:
        which = "these two" if advice.pair else "this"
        gained = money(season, advice.gain_minor)
        currency = season.book.season.currency
        lines.insert(together, f"{currency}: about {gained} more is expected with {which} set so.")
    if len(advice.places) > together:
        lines.insert(len(lines) - len(advice.places) + together, "Each alone, all else as it is:")
    return lines


def _place_words(season: Season, place: PlaceAdvice) -> str:
    name = season.book.places[place.place_id].name

    unit: TemperatureUnit = "F" if season.book.season.units == "us" else "C"

    def at(celsius: float) -> str:
        return f"{temperature_in(celsius, unit):.4g} {unit}"

    if place.fine_as_it_is:
        said = f"{name}: leave it at {at(place.today_c)}"
    else:
        said = f"{name}: set it to {at(place.advised_c)} instead of {at(place.today_c)}"
    if place.flat_low_c < place.flat_high_c:
        said += f"; anything from {at(place.flat_low_c)} to {at(place.flat_high_c)} is as good"
    sides = (
        ("colder", place.colder_loses_minor, place.flat_low_c),
        ("warmer", place.warmer_loses_minor, place.flat_high_c),
    )
    for side, minor, celsius in sides:
        if minor is not None:
            said += f"; {side} than {at(celsius)} loses about {money(season, minor)}"
    return f"{said}."
