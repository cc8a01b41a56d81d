"""Where thermostats are best set: plans made again over a grid of set points.

The flat part of what plans are worth matters more than its peak. Advised is, of all settings within
1 % of the best, the one nearest to today's.
"""

from dataclasses import dataclass
from datetime import datetime

FLAT_WITHIN = 0.01
"""Settings whose plans are worth less than the best by no more than this share are as good."""


@dataclass(frozen=True, slots=True)
class Curve:
    """What plans come to along the set points (C, increasing) of one place.

    ``other_c`` is what the other room of a pair is held at meanwhile, None for a place looked at
    alone; every other place stays as it is. ``value_minor`` is the expected value of the best plan
    with cut crates, ``sold_share`` the part of all fruit at hand that is expected to be sold ready,
    ``chilling_used`` the mean share of the chilling allowance that sold fruit has used by then.
    """

    other_c: float | None
    set_points_c: tuple[float, ...]
    value_minor: tuple[float, ...]
    sold_share: tuple[float, ...]
    chilling_used: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PlaceAdvice:
    """How one place is best set; temperatures in C, values in minor units of the currency.

    ``curve`` has the other room as advised, ``as_it_is`` as it is set today; alone they are the
    same. All of ``flat_low_c`` to ``flat_high_c`` is within 1 % of the best of ``curve``, and
    ``advised_c`` lies there. ``colder_loses_minor`` and ``warmer_loses_minor`` are what the plan
    loses one tested step outside the flat part; None where the flat part ends at the last setting
    that was tested or that the crops stand. They stand ``lowest_c`` to ``highest_c``; whose limits
    these are is in ``lowest_crop`` and ``highest_crop`` (None: no crop's, a general one).
    """

    place_id: str
    today_c: float
    advised_c: float
    flat_low_c: float
    flat_high_c: float
    colder_loses_minor: float | None
    warmer_loses_minor: float | None
    lowest_c: float
    highest_c: float
    lowest_crop: str | None
    highest_crop: str | None
    curve: Curve
    as_it_is: Curve

    @property
    def fine_as_it_is(self) -> bool:
        """Whether today's setting is as good as any."""
        return self.advised_c == self.today_c


@dataclass(frozen=True, slots=True)
class Pair:
    """A cold room and a ripening room looked at together: tables of (cold, ripening) settings.

    The settings are the ``cold_c`` and ``ripening_c``, both increasing; tables as in
    :class:`Curve`. ``advised`` and ``today`` are indices into both.
    """

    cold_id: str
    ripening_id: str
    cold_c: tuple[float, ...]
    ripening_c: tuple[float, ...]
    value_minor: tuple[tuple[float, ...], ...]
    sold_share: tuple[tuple[float, ...], ...]
    chilling_used: tuple[tuple[float, ...], ...]
    advised: tuple[int, int]
    today: tuple[int, int]


@dataclass(frozen=True, slots=True)
class SetPointAdvice:
    """Advice for every place with a thermostat, as on ``made_at``.

    ``places`` are those of the ``pair`` first; empty where there is no fruit to plan for, no market
    day ahead, or no such place. ``value_minor`` is what today's settings come to, ``gain_minor``
    what the advised ones of the pair add (of the first place, without a pair).
    """

    made_at: datetime
    places: tuple[PlaceAdvice, ...]
    pair: Pair | None
    value_minor: float
    gain_minor: float
