"""What the fields of records may hold: each limit is declared once, with the words that refuse.

A field's type is one of these, and every way into a season goes by it: forms, tables, JSON,
merging, rescue, opening and ``verify`` (see :mod:`ripenroom.records.checking`). The limits are
msgspec's (``ge``, ``le``, ``max_length``, …). The words stand in ``extra``, as templates of a
:class:`~ripenroom.records.refusal.Refusal`: ``says``, and for texts ``empty`` and ``long``.
They may use {value}, {size} (of a text or list), {low}, {high}, {most} and {what} (the kind of
record); where ``unit`` is C also {value_f}, {low_f} and {high_f}. ``is`` says what a text has to
be, for where its value is not at hand.
"""

from datetime import date, datetime, timedelta
from typing import Annotated, Final

from msgspec import Meta

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
_CANNOT_BE_KEPT = "This text holds a character that cannot be kept. Type it again."
_LONG = "This text has {size} characters; {most} is the most."

# Texts

SeasonId = Annotated[
    str,
    # A season's copies lie in a folder of that name.
    Meta(min_length=1, max_length=64, pattern=_ID, extra={"is": "a season’s id, which is a UUID"}),
]

Id = Annotated[
    str,
    # No part of a path: ids come from strangers' files too.
    Meta(
        min_length=1,
        max_length=64,
        pattern=_ID,
        extra={
            "is": "a text that can be an id: one line of 1 to 64 characters, without slashes, and "
            "without a dot at its beginning"
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
            "empty": "Give the {what} a name.",
            "long": "This name has {size} characters; {most} is the most.",
            "says": "A name is one line, without tabs; type it again.",
        },
    ),
]

Line = Annotated[
    str,
    Meta(
        max_length=200,
        pattern=r"\A" + _IN_LINE + r"*\Z",
        extra={"says": "This is one line, without tabs; type it again.", "long": _LONG},
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
            "says": "A batch code is one line of at most {most} characters.",
            "empty": "Give the batch a code.",
            "long": "A batch code is one line of at most {most} characters.",
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
            "long": "The note has {size} characters; {most:,} is the most.",
        },
    ),
]

CropKey = Annotated[
    str,
    Meta(
        pattern=r"\A[a-z][a-z0-9_]{0,39}\Z",
        extra={
            "says": "A crop is named by its key: lower-case letters, digits and _.",
            "is": "a crop’s key: a text of lower-case letters, digits and _",
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
            "says": "There is no time zone “{value}”. Write it as Europe/Dublin.",
            "is": "the name of a time zone, such as Europe/Dublin",
        },
    ),
]

Currency = Annotated[
    str,
    Meta(
        pattern=r"\A[A-Z]{3}\Z",
        extra={
            "says": "Give the currency by its three letters, such as EUR or USD.",
            "is": "the three capital letters of a currency, such as EUR or USD",
        },
    ),
]

Moment = Annotated[datetime, Meta(tz=True, extra={"says": "{value} has no time zone."})]
"""How near to its season a moment or a day lies is the business of :mod:`.reach`."""

# Numbers of fruit, crates and trees

_GIVE = "give a whole number from {low} to {high}"
_GIVE_IT = "Give a whole number from {low} to {high}"


def _whole(low: int, high: int, says: str) -> Meta:
    return Meta(ge=low, le=high, extra={"says": says})


Fruit = Annotated[int, _whole(1, MOST_FRUIT, f"{{value}} fruit cannot be: {_GIVE}.")]
PickedFruit = Annotated[int, _whole(1, MOST_FRUIT, f"{{value}} fruit cannot be one pick: {_GIVE}.")]
WantedFruit = Annotated[
    int, _whole(0, MOST_FRUIT, "How many are wanted? Give a number from {low} to {high}.")
]
ExpectedFruit = Annotated[
    int,
    _whole(
        0,
        MOST_FRUIT,
        f"How many fruit are expected? {_GIVE_IT}; 0 means that nothing more comes.",
    ),
]
FruitPerDay = Annotated[
    int,
    _whole(
        1,
        MOST_FRUIT,
        f"How many fruit a day are taken? {_GIVE_IT}, or leave it empty for any number.",
    ),
]
FeltFruit = Annotated[int, _whole(0, MOST_FRUIT, f"{{value}} fruit of one feel: {_GIVE}.")]
Crates = Annotated[int, _whole(1, 100_000, f"{{value}} crates cannot be: {_GIVE}.")]
RoomForCrates = Annotated[
    int, _whole(1, 100_000, "Give the room for crates as a whole number from 1 up.")
]
CratesPerEvening = Annotated[
    int,
    _whole(
        1,
        MOST_CRATES,
        f"Crates moved in an evening: {_GIVE}, or leave it empty where hands are no limit.",
    ),
]
Trees = Annotated[int, _whole(0, 1_000_000, "How many trees? Give a whole number from 0 up.")]
PlantedYear = Annotated[
    int, _whole(1850, LATEST_YEAR, "Planted in {value}? Give a year from {low} to {high}.")
]
FruitOnTrees = Annotated[
    int, _whole(0, MOST_ON_TREES, f"{{value}} fruit on the trees of one row: {_GIVE}.")
]
FoundFruit = Annotated[int, _whole(0, MOST_FRUIT, f"{{value}} fruit on the ground: {_GIVE}.")]
OnBranch = Annotated[int, _whole(0, 10_000, f"{{value}} fruit on one branch: {_GIVE}.")]
BranchCounts = Annotated[
    tuple[OnBranch, ...],
    Meta(max_length=200, extra={"says": "{size} branches counted; {most} is the most."}),
]
BranchesPerTree = Annotated[int, _whole(1, 1_000, f"{{value}} branches on one tree: {_GIVE}.")]
MonthNumber = Annotated[int, _whole(1, 12, f"A month is {{value}}: {_GIVE}.")]
Checks = Annotated[int, _whole(1, 1_000_000, f"{{value}} checks: {_GIVE}.")]
MoveCostMinor = Annotated[
    int,
    _whole(
        0,
        DEAREST_MINOR,
        "What moving a crate costs must be 0 or more, or empty for an estimate.",
    ),
]
PriceMinor = Annotated[
    int,
    _whole(
        0,
        DEAREST_MINOR,
        "The price of one fruit must be 0 or more, and no more than a fruit costs.",
    ),
]
FruitPerBox = Annotated[int, _whole(1, 10_000, f"{{value}} fruit in a box: {_GIVE}.")]
MOST_EATEN_DAYS = 30
"""Nobody buys soft fruit to eat it later than this."""

EatWithinDays = Annotated[
    int,
    _whole(0, MOST_EATEN_DAYS, "Buyers eat the fruit within 0 to 30 days; 0 means the same day."),
]

# Figures


def _figure(low: float, high: float, what: str, unit: str = "") -> Meta:
    says = f"{what} is {{value:g}}{unit}; it must be from {{low:g}} to {{high:g}}{unit}."
    return Meta(ge=low, le=high, extra={"says": says})


def _celsius(low: float, high: float, what: str) -> Meta:
    # In which unit it was typed is not known here.
    says = (
        f"{what} is {{value:.4g}} °C ({{value_f:.4g}} °F); it must be from {{low:g}} to {{high:g}} "
        "°C ({low_f:.0f} to {high_f:.0f} °F)."
    )
    return Meta(ge=low, le=high, extra={"says": says, "unit": "C"})


SoldAmount = Annotated[float, _figure(0.01, 100_000.0, "The amount")]
"""Of fruit that is sold by weight or by box, in its own unit."""

Weight = Annotated[float, _figure(0.0, 20_000.0, "The weight", " kg")]
"""Of a batch (kg): a part that was split off a light one may be lighter than any pick."""

PickedWeight = Annotated[float, _figure(0.001, 20_000.0, "The weight", " kg")]
PulpC = Annotated[float, _celsius(COLDEST_PULP_C, HOTTEST_PULP_C, "Pulp temperature")]
SetPointC = Annotated[float, _celsius(COLDEST_C, WARMEST_C, "The set point")]
HalfCoolingH = Annotated[float, _figure(0.1, 96.0, "Half-cooling time", " h")]
PickedOverDays = Annotated[
    float, _figure(0.0, float(MOST_EATEN_DAYS), "The time within which it is eaten", " days")
]
DailySwingK = Annotated[float, _figure(0.0, 20.0, "The daily swing", " K")]
TreatmentH = Annotated[float, _figure(1.0, 240.0, "The treatment", " hours")]
"""Nobody treats for minutes, and ten days in ethylene are a slip of the hand."""

RateFactor = Annotated[float, _figure(0.2, 5.0, "Its pace beside other cultivars", " times")]
"""The slowest and fastest a cultivar may be beside its crop; beyond that it is another crop."""

FruitDoubt = Annotated[float, _figure(0.01, 4.0, "The doubt about a count")]
"""As a share: 0.3 is "within some 30 %"."""

FruitMassG = Annotated[float, _figure(1.0, 5_000.0, "The weight of one fruit", " g")]
OutdoorC = Annotated[
    float, _celsius(COLDEST_OUTDOORS_C, WARMEST_OUTDOORS_C, "The temperature outdoors")
]
FrostC = Annotated[float, _celsius(-10.0, 5.0, "The temperature of a frost")]
FirstFrosts = Annotated[
    tuple[date, ...],
    Meta(max_length=200, extra={"says": "{size} first frosts; {most} is the most."}),
]
WeatherLagH = Annotated[float, _figure(0.0, 72.0, "How long it lags behind the weather", " h")]

ProbeMm = Annotated[
    float,
    Meta(
        ge=1.0,
        le=30.0,
        extra={"says": "A probe {value:g} mm across cannot be: give its diameter, 1 to 30 mm."},
    ),
]
Reading = Annotated[
    float,
    Meta(
        gt=0.0,
        lt=10_000.0,
        extra={"says": "A reading of {value:g} cannot be: it must be above 0 and below 10000."},
    ),
]
Readings = Annotated[
    tuple[Reading, ...],
    Meta(max_length=1_000, extra={"says": "{size} gauge readings; {most} is the most."}),
]
LogRate = Annotated[float, _figure(-3.0, 3.0, "How much faster it softens (natural logarithm)")]
"""One twentieth to twenty times the speed; no fruit of a crop differs so much."""

LogRateSd = Annotated[float, _figure(0.001, 3.0, "How sure that is (natural logarithm)")]

TreeDays = Annotated[float, _figure(1.0, 1_000.0, "The time from bloom", " days")]
"""Longer than any fruit hangs; peaches and pawpaws take 100 to 150 days."""

TreeDaysSd = Annotated[float, _figure(0.01, 400.0, "How sure the time is", " days")]
LogSpread = Annotated[
    float, _figure(-3.0, 5.0, "How much fruit of a row differ (natural logarithm of days)")
]
PerDay = Annotated[float, _figure(1e-4, 100.0, "The speed", " a day")]
ReferenceC = Annotated[float, _celsius(-5.0, 60.0, "The temperature of the speed")]

Series = Annotated[bytes, Meta(max_length=LARGEST_SERIES)]
