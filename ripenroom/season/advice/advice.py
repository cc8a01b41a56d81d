"""What advice says: which batches to squeeze, how many of their fruit, what would help, and where
thermostats would better stand."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class CheckReason(StrEnum):
    """What the check decides, or mostly tells."""

    WHEN = "when to move it"
    WHERE = "on which market day to sell it"
    WHETHER = "whether it is worth bringing"
    GRADE = "whether and when it goes for second grade"
    PACE = "how fast its cultivar softens"
    RIPENS = "whether it ripens at all"


@dataclass(frozen=True, slots=True)
class CheckNext:
    """Squeeze ``fruit`` fruit of a batch today.

    ``gain_minor`` (minor units of the currency) is about what the plan is expected to gain from
    it; 0 of what may not ripen, which is kept or cleared by it. ``decides_at`` is the next move or
    market day that hangs on it, and ``market_day_id`` the market day that is planned for most of
    the batch now (None: none).
    """

    batch_id: str
    fruit: int
    gain_minor: float
    reason: CheckReason
    decides_at: datetime | None
    market_day_id: str | None


class HelpKind(StrEnum):
    """What there would be more of."""

    ROOM = "more crates in a place"
    MARKET_DAY = "one more market day"
    WANTED = "more wanted on a market day"
    HANDS = "more crates moved in an evening"
    SECOND_GRADE = "someone who takes second grade"


@dataclass(frozen=True, slots=True)
class Help:
    """One thing that would help, and what the plan gains if it is there.

    ``value_minor`` (minor units of the currency) and ``fruit`` (sold that would be lost otherwise)
    are those of the plan made again, in terms of what such plans come to. ``amount`` is how much
    more: crates of room, fruit wanted, crates an evening, or fruit wanted on the extra market day;
    0 of second grade, which takes any number at ``price_minor`` each. ``until`` is the last evening
    on which the room is full or hands are short, or when the market day begins. ``place_id``,
    ``market_day_id`` and ``crop`` are named where they matter; of an extra market day
    ``like_id`` is the one whose hours, wants and prices it is thought to have.
    """

    kind: HelpKind
    value_minor: float = 0.0
    fruit: float = 0.0
    amount: int = 0
    until: datetime | None = None
    place_id: str | None = None
    market_day_id: str | None = None
    crop: str | None = None
    like_id: str | None = None
    price_minor: int | None = None


WARM_C = 20.0


class DateKind(StrEnum):
    """The next date of a batch, which a check tells about."""

    OPENS = "opens"
    CLOSES = "closes"
    READY_IF_WARM = "ready if warm"
    """When half would be ready at ``WARM_C`` from now on; of fruit that never is where it waits."""


@dataclass(frozen=True, slots=True)
class CheckDesign:
    """What squeezing so many fruit now would tell about a batch's next date.

    ``within_days`` (days) has the half width of the date's 80 % range after 0, 1, 2 … fruit, up to
    ``MOST_FRUIT`` or what is left. ``enough`` fruit bring it to a day, or as near to what fruit can
    tell at all as is worth it; None where squeezing now tells next to nothing.
    """

    batch_id: str
    date: DateKind
    within_days: tuple[float, ...]
    enough: int | None


@dataclass(frozen=True, slots=True)
class WorthCurve:
    """What plans come to along the set points (C, increasing) of one place.

    ``other_c`` is what the other room of a pair is held at meanwhile, None for a place looked at
    alone; every other place stays as it is. ``value_minor`` is about what the best plan comes to:
    the expected value with cut crates, scaled to what today's comes to over sampled truths;
    ``sold_share`` the part of all fruit at hand that is expected to be sold ready,
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
    loses, against what it comes to as advised, one tested step outside the flat part; None where
    the flat part ends at the last setting that was tested or that the crops stand. They stand
    ``lowest_c`` to ``highest_c``; whose limits these are is in ``lowest_crop`` and ``highest_crop``
    (None: no crop's, a general one).
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
    curve: WorthCurve
    as_it_is: WorthCurve

    @property
    def fine_as_it_is(self) -> bool:
        """Whether today's setting is as good as any."""
        return self.advised_c == self.today_c


@dataclass(frozen=True, slots=True)
class RoomPair:
    """A cold room and a ripening room looked at together: tables of (cold, ripening) settings.

    The settings are the ``cold_c`` and ``ripening_c``, both increasing; tables as in
    :class:`WorthCurve`. ``advised`` and ``today`` are indices into both.
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
    pair: RoomPair | None
    value_minor: float
    gain_minor: float
