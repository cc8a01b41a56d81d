"""What the fields of records may hold: each limit is declared once, with the words that refuse.

A field's type is one of these, and every way into a season goes by it: forms, tables, JSON,
merging, rescue, opening and ``verify`` (see :mod:`ripenroom.records.validation`). The limits are
msgspec's (``ge``, ``le``, ``max_length``, …). The words stand in ``extra``, as templates of a
:class:`~ripenroom.records.refusal.Refusal`: ``says``, and for texts ``empty`` and ``long``.
They may use {value}, {size} (of a text or list), {low}, {high}, {most} and {what} (the kind of
record), and {figure} and {unit}, which stand beside them; where ``unit`` is C also {value_f},
{low_f} and {high_f}. ``is`` says what a text has to be, for where its value is not at hand. All
are English here, and translated where something is refused.
"""

from datetime import date, datetime, timedelta
from typing import Annotated, Final

from msgspec import Meta

from ripenroom.texts import noted

MOST_FRUIT: Final = 100_000
"""More fruit than this in one batch is a slip of the hand."""

MOST_CRATES: Final = 10_000
"""More crates than this in one evening are a slip of the hand."""

COLDEST_C, WARMEST_C = -5.0, 45.0
"""Range (C) of air in which fruit could be kept at all."""

COLDEST_PULP_C, HOTTEST_PULP_C = -2.0, 45.0
"""Range (C) of pulp: colder it is frozen, hotter it is cooked by the sun."""

EARLIEST_YEAR, LATEST_YEAR = 1970, 2200
"""A date outside these years is a slip of the hand, and its days could not all be counted."""

LARGEST_SERIES: Final = 8_000_000
"""Bytes; more than any thermometer writes in a season, and as much as a connection reads back."""

MOST_ON_TREES: Final = 1_000_000
"""More fruit than this on the trees of one row is a slip of the hand."""

COLDEST_OUTDOORS_C, WARMEST_OUTDOORS_C = -60.0, 60.0
"""Range (C) of air outdoors wherever fruit grows: nothing beyond was ever measured there."""

EARLIEST_FROST_YEAR: Final = 1850
"""No grower's list of first frosts goes further back."""

MOST_FROST_DAYS_APART: Final = timedelta(days=120)
"""Two days of one autumn's frost lie no further apart."""

DEAREST_MINOR: Final = 100_000_000
"""No fruit costs more than so many of the smallest coins."""

# SQLite's own functions cut a text at a NUL, and UTF-8 has no place for half a character.
_ANY_TEXT = r"\A[^\0\ud800-\udfff]*\Z"
# Neither control characters and separators of lines and paragraphs (Unicode Cc, Zl, Zp), nor what
# turns the text around that stands beside a name (UAX 9: embeddings, overrides, isolates).
_IN_LINE = r"[^\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
_FILLED_LINE = r"\A(?=.*\S)" + _IN_LINE + r"*\Z"
_ID = r"\A(?!\.)(?:(?![/\\])" + _IN_LINE + r")+\Z"
_CANNOT_BE_KEPT = noted("This text has a character that cannot be saved. Type it again.")
_LONG = noted("This text has {size} characters; {most} is the most.")

# Texts

SeasonId = Annotated[
    str,
    # A season's copies lie in a folder of that name.
    Meta(
        min_length=1,
        max_length=64,
        pattern=_ID,
        extra={"is": noted("a season’s id, which is a UUID")},
    ),
]

Id = Annotated[
    str,
    # No part of a path: ids come from strangers' files too.
    Meta(
        min_length=1,
        max_length=64,
        pattern=_ID,
        extra={
            "is": noted(
                "a text that can be an id: one line of 1 to 64 characters, without slashes, and "
                "without a dot at its beginning"
            )
        },
    ),
]
"""What records are referred to by; a UUID wherever ripenroom makes it."""

Name = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=200,
        pattern=_FILLED_LINE,
        extra={
            "empty": noted("Give the {what} a name."),
            "long": noted("This name has {size} characters; {most} is the most."),
            "says": noted("A name is one line, without tabs; type it again."),
        },
    ),
]

Line = Annotated[
    str,
    Meta(
        max_length=200,
        pattern=r"\A" + _IN_LINE + r"*\Z",
        extra={"says": noted("This is one line, without tabs; type it again."), "long": _LONG},
    ),
]
"""One line, perhaps empty: the name of a file or of a column in it."""

Code = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=60,
        pattern=_FILLED_LINE,
        extra={
            "says": noted("A batch code is one line of at most {most} characters."),
            "empty": noted("Give the batch a code."),
            "long": noted("A batch code is one line of at most {most} characters."),
        },
    ),
]

Note = Annotated[
    str,
    Meta(
        max_length=10_000,
        pattern=_ANY_TEXT,
        extra={
            "says": _CANNOT_BE_KEPT,
            "long": noted("The note has {size} characters; {most:,} is the most."),
        },
    ),
]

CropKey = Annotated[
    str,
    Meta(
        pattern=r"\A[a-z][a-z0-9_]{0,39}\Z",
        extra={
            "says": noted("A crop is named by its key: lower-case letters, digits and _."),
            "is": noted("a crop’s key: a text of lower-case letters, digits and _"),
        },
    ),
]

ProfileText = Annotated[
    str, Meta(max_length=200_000, pattern=_ANY_TEXT, extra={"says": _CANNOT_BE_KEPT, "long": _LONG})
]
"""The longest shipped profile has some 12,000 characters."""

Zone = Annotated[
    str,
    Meta(
        pattern=r"\A[A-Za-z0-9][A-Za-z0-9_+/-]{0,99}\Z",
        extra={
            "says": noted("There is no time zone “{value}”. Write it as Europe/Dublin."),
            "is": noted("the name of a time zone, such as Europe/Dublin"),
        },
    ),
]

Currency = Annotated[
    str,
    Meta(
        pattern=r"\A[A-Z]{3}\Z",
        extra={
            "says": noted("Type the three letters of the currency, such as EUR or USD."),
            "is": noted("the three capital letters of a currency, such as EUR or USD"),
        },
    ),
]

Moment = Annotated[datetime, Meta(tz=True, extra={"says": noted("{value} has no time zone.")})]
"""How near to its season a moment or a day lies is the business of :mod:`.validation`."""

# Numbers of fruit, crates and trees


def _whole(low: int, high: int, says: str) -> Meta:
    return Meta(ge=low, le=high, extra={"says": says})


Fruit = Annotated[
    int,
    _whole(1, MOST_FRUIT, noted("{value} fruit: type a whole number from {low} to {high}.")),
]
PickedFruit = Annotated[
    int,
    _whole(
        1,
        MOST_FRUIT,
        noted("{value} fruit: type a whole number from {low} to {high}."),
    ),
]
WantedFruit = Annotated[
    int, _whole(0, MOST_FRUIT, noted("How many are wanted? Type a number from {low} to {high}."))
]
ExpectedFruit = Annotated[
    int,
    _whole(
        0,
        MOST_FRUIT,
        noted(
            "How many fruit are expected? Type a whole number from {low} to {high}; 0 means "
            "no more to pick."
        ),
    ),
]
FruitPerDay = Annotated[
    int,
    _whole(
        1,
        MOST_FRUIT,
        noted(
            "How many fruit a day are taken? Type a whole number from {low} to {high}, or "
            "leave it empty for any number."
        ),
    ),
]
FeltFruit = Annotated[
    int,
    _whole(
        0, MOST_FRUIT, noted("{value} fruit of one feel: type a whole number from {low} to {high}.")
    ),
]
Crates = Annotated[
    int,
    _whole(1, 100_000, noted("{value} crates: type a whole number from {low} to {high}.")),
]
RoomForCrates = Annotated[
    int, _whole(1, 100_000, noted("Room for crates: type a whole number from 1 up."))
]
CratesPerEvening = Annotated[
    int,
    _whole(
        1,
        MOST_CRATES,
        noted(
            "Crates moved in an evening: type a whole number from {low} to {high}, or leave "
            "it empty for no limit."
        ),
    ),
]
Trees = Annotated[
    int, _whole(0, 1_000_000, noted("How many trees? Type a whole number from 0 up."))
]
PlantedYear = Annotated[
    int, _whole(1850, LATEST_YEAR, noted("Planted in {value}? Type a year from {low} to {high}."))
]
FruitOnTrees = Annotated[
    int,
    _whole(
        0,
        MOST_ON_TREES,
        noted("{value} fruit on the trees of one row: type a whole number from {low} to {high}."),
    ),
]
FoundFruit = Annotated[
    int,
    _whole(
        0,
        MOST_FRUIT,
        noted("{value} fruit on the ground: type a whole number from {low} to {high}."),
    ),
]
OnBranch = Annotated[
    int,
    _whole(
        0, 10_000, noted("{value} fruit on one branch: type a whole number from {low} to {high}.")
    ),
]
BranchCounts = Annotated[
    tuple[OnBranch, ...],
    Meta(max_length=200, extra={"says": noted("{size} branches counted; {most} is the most.")}),
]
BranchesPerTree = Annotated[
    int,
    _whole(
        1, 1_000, noted("{value} branches on one tree: type a whole number from {low} to {high}.")
    ),
]
MonthNumber = Annotated[
    int, _whole(1, 12, noted("A month is {value}: type a whole number from {low} to {high}."))
]
Checks = Annotated[
    int, _whole(1, 1_000_000, noted("{value} checks: type a whole number from {low} to {high}."))
]
MoveCostMinor = Annotated[
    int,
    _whole(
        0,
        DEAREST_MINOR,
        noted("What moving a crate costs must be 0 or more, or empty for an estimate."),
    ),
]
PriceMinor = Annotated[
    int,
    _whole(
        0,
        DEAREST_MINOR,
        noted("The price of one fruit must be 0 or more, and no more than a fruit costs."),
    ),
]
FruitPerBox = Annotated[
    int,
    _whole(1, 10_000, noted("{value} fruit in a box: type a whole number from {low} to {high}.")),
]
MOST_EATEN_DAYS = 30
"""Nobody buys soft fruit to eat it later than this."""

EatWithinDays = Annotated[
    int,
    _whole(
        0, MOST_EATEN_DAYS, noted("Buyers eat the fruit within 0 to 30 days; 0 means the same day.")
    ),
]

# Figures


_FIGURE = noted("{figure} is {value:g}{unit}; it must be from {low:g} to {high:g}{unit}.")
# In which unit it was typed is not known here.
_TEMPERATURE = noted(
    "{figure} is {value:.4g} °C ({value_f:.4g} °F); it must be from {low:g} to {high:g} °C "
    "({low_f:.0f} to {high_f:.0f} °F)."
)


def _figure(low: float, high: float, figure: str, unit: str = "") -> Meta:
    return Meta(ge=low, le=high, extra={"says": _FIGURE, "figure": figure, "unit": unit})


def _celsius(low: float, high: float, figure: str) -> Meta:
    return Meta(ge=low, le=high, extra={"says": _TEMPERATURE, "figure": figure, "unit": "C"})


SoldAmount = Annotated[float, _figure(0.01, 100_000.0, noted("The amount"))]
"""Of fruit that is sold by weight or by box, in its own unit."""

Weight = Annotated[float, _figure(0.0, 20_000.0, noted("The weight"), noted(" kg"))]
"""Of a batch (kg): a part that was split off a light one may be lighter than any pick."""

PickedWeight = Annotated[float, _figure(0.001, 20_000.0, noted("The weight"), noted(" kg"))]
PulpC = Annotated[float, _celsius(COLDEST_PULP_C, HOTTEST_PULP_C, noted("The fruit temperature"))]
SetPointC = Annotated[float, _celsius(COLDEST_C, WARMEST_C, noted("The temperature"))]
HalfCoolingH = Annotated[float, _figure(0.1, 96.0, noted("The time to cool halfway"), noted(" h"))]
PickedOverDays = Annotated[
    float,
    _figure(
        0.0, float(MOST_EATEN_DAYS), noted("The time within which it is eaten"), noted(" days")
    ),
]
DailySwingK = Annotated[float, _figure(0.0, 20.0, noted("The daily swing"), noted(" K"))]
TreatmentH = Annotated[float, _figure(1.0, 240.0, noted("The time in ethylene"), noted(" hours"))]
"""Nobody treats for minutes, and ten days in ethylene are a slip of the hand."""

RateFactor = Annotated[float, _figure(0.2, 5.0, noted("How fast it softens"), noted(" times"))]
"""The slowest and fastest a cultivar may be beside its crop; beyond that it is another crop."""

FruitDoubt = Annotated[float, _figure(0.01, 4.0, noted("The doubt about a count"))]
"""As a share: 0.3 is "within some 30 %"."""

FruitMassG = Annotated[float, _figure(1.0, 5_000.0, noted("The weight of one fruit"), noted(" g"))]
OutdoorC = Annotated[
    float, _celsius(COLDEST_OUTDOORS_C, WARMEST_OUTDOORS_C, noted("The temperature outdoors"))
]
FrostC = Annotated[float, _celsius(-10.0, 5.0, noted("The temperature of a frost"))]
FirstFrosts = Annotated[
    tuple[date, ...],
    Meta(max_length=200, extra={"says": noted("{size} first frosts; {most} is the most.")}),
]
WeatherLagH = Annotated[
    float, _figure(0.0, 72.0, noted("How long it lags behind the weather"), noted(" h"))
]

ProbeMm = Annotated[
    float,
    Meta(
        ge=1.0,
        le=30.0,
        extra={"says": noted("How wide is the probe? Type its diameter, 1 to 30 mm.")},
    ),
]
Reading = Annotated[
    float,
    Meta(
        gt=0.0,
        lt=10_000.0,
        extra={
            "says": noted(
                "A reading of {value:g} is not possible: it must be above 0 and below 10000."
            )
        },
    ),
]
Readings = Annotated[
    tuple[Reading, ...],
    Meta(max_length=1_000, extra={"says": noted("{size} gauge readings; {most} is the most.")}),
]
LogRate = Annotated[
    float, _figure(-3.0, 3.0, noted("How much faster it softens (natural logarithm)"))
]
"""One twentieth to twenty times the speed; no fruit of a crop differs so much."""

LogRateSd = Annotated[float, _figure(0.001, 3.0, noted("How sure that is (natural logarithm)"))]

LogLife = Annotated[
    float, _figure(-3.0, 3.0, noted("How much longer ripe fruit keeps (natural logarithm)"))
]
LogLifeSd = Annotated[
    float,
    _figure(0.001, 3.0, noted("How sure it is how long ripe fruit keeps (natural logarithm)")),
]

TreeDays = Annotated[float, _figure(1.0, 1_000.0, noted("The time from bloom"), noted(" days"))]
"""Longer than any fruit hangs; peaches and pawpaws take 100 to 150 days."""

TreeDaysSd = Annotated[float, _figure(0.01, 400.0, noted("How sure the time is"), noted(" days"))]
LogSpread = Annotated[
    float, _figure(-3.0, 5.0, noted("How much fruit of a row differ (natural logarithm of days)"))
]
PerDay = Annotated[float, _figure(1e-4, 100.0, noted("The speed"), noted(" a day"))]
RipeLifeDays = Annotated[
    float, _figure(0.01, 1_000.0, noted("How long ripe fruit keeps"), noted(" days"))
]
ReferenceC = Annotated[float, _celsius(-5.0, 60.0, noted("The temperature of the speed"))]

Series = Annotated[bytes, Meta(max_length=LARGEST_SERIES)]
