"""What is known of fruit on the tree before a farm has seen any: wide, and soon learned better.

Nobody has published how much heat each cultivar of pawpaw needs. What stands here says when the
season may be at all; walks and picks say when it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

BASE_C: Final = 10.0
"""Degree days count from here, 50 F, as growers of pawpaws and peaches count them."""

TOP_C: Final = 30.0
"""A warmer hour counts no more than this one, 86 F, as for maize (an estimate for fruit)."""

HEAT_PER_DAY: Final = 9.0
"""Degree days of a tree day: those of a day of 19 C."""

PICKING_C: Final = BASE_C + HEAT_PER_DAY
"""Temperature at which fruit softens on the tree at its usual pace."""

SPREAD_DAYS: Final = 3.6
"""How much the fruit of a tree differ, in days: it ripens over two weeks (Archbold, Koslanund &
Pomper 2003, HortTechnology 13:439-441), which 95 % of a Normal with this sd does."""

SPREAD_LOG_SD: Final = 0.35
PACE_LOG_SD: Final = 0.4
"""How far cultivars and trees lie from that, and from the pace of picked fruit (estimates)."""

DROP_PART: Final = 0.85
"""Half of the fruit has dropped after this part of its way from first give to too soft; and fruit
differ in that by :data:`DROP_SD_PART` of it. Common practice, no source."""

DROP_SD_PART: Final = 0.25

BLOOM_SD_DAYS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "noted": 2.0,
        "cultivar": 4.0,
        "crop": 8.0,
        "spring": 12.0,
        "walk": 20.0,
        "season": 30.0,
    }
)
"""How sure a row's day of full bloom is, in days, by what it goes by: the day that was noted, other
rows of its cultivar or crop, the warmth of spring, its first walk or pick, the season's first day.
All are estimates."""

BLOOM_C: Final[Mapping[str, float]] = MappingProxyType(
    {
        "apricot": 9.5,
        "plum": 10.5,
        "peach": 11.0,
        "pear": 11.0,
        "anjou": 11.0,
        "bosc": 11.0,
        "comice": 11.0,
        "apple": 12.0,
        "quince": 12.5,
        "pawpaw": 14.0,
        "kiwiberry": 16.0,
        "kiwifruit": 17.0,
        "persimmon": 17.0,
        "persimmon_astringent": 17.0,
    }
)
"""Mean temperature (C) of the days about full bloom, by crop. Estimates: a crop's usual time of
bloom against the usual warmth of places that tell it (pawpaws bloom in late May in New York,
Cornell Cooperative Extension, two or three weeks before May in Kentucky, growers' compilation; the
others from memory)."""

WALK_COSTS_FRUIT: Final = 2.0
"""What the ten minutes of walking a row are worth, in fruit (an estimate)."""

FORECAST_SD_C: Final = 2.0
"""How far off a forecast night's lowest temperature is (an estimate)."""


@dataclass(frozen=True, slots=True)
class Needs:
    """Days from full bloom until half of the fruit gives, with its sd: by the calendar, and in tree
    days of :data:`HEAT_PER_DAY`."""

    days: float
    days_sd: float
    heat_days: float
    heat_sd: float


_UNKNOWN = Needs(140.0, 25.0, 150.0, 30.0)

_NEEDS: Mapping[str, Needs] = MappingProxyType(
    {
        # Blooms in late May and is ripe from mid September in New York (Cornell Cooperative
        # Extension); 2,300 to 2,900 F degree days from 1 May ripen the early and all kinds (J. H.
        # Gordon, NAFEX list, 22 September 2004), most cultivars over 2,400 (growers' compilation of
        # Kentucky State University trials): 1,280 to 1,610 C, 142 to 179 tree days.
        "pawpaw": Needs(138.0, 14.0, 160.0, 18.0),
        # Days from full bloom 110-133 of Bartlett, 120-150 of Anjou, 130-145 of Bosc (Washington
        # State University and Penn State Extension); the heat that goes with them is a guess.
        "pear": Needs(121.5, 9.0, 130.0, 25.0),
        "anjou": Needs(135.0, 12.0, 145.0, 25.0),
        "bosc": Needs(137.5, 6.0, 147.0, 25.0),
    }
)


def needs_of(crop: str) -> Needs:
    """What a crop needs; of one that nothing is known of, hardly more than that it is autumn."""
    return _NEEDS.get(crop, _UNKNOWN)
