"""A season at one moment: what every question is asked of and every action begins from."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.check import Lesson, TreeLesson
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import ExpectedPick, MarketDay, SecondGrade
from ripenroom.records.orchard import (
    Cultivar,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    OwnCrop,
    Row,
    Walk,
)
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails

# Not needed to open a season.
if TYPE_CHECKING:
    from ripenroom.season.learned import Learned


@dataclass(frozen=True, slots=True)
class SeasonState:
    """The records, the crops as they are known, the moment that counts as now, the home zone, and
    what was learned from checks by then (None: nothing yet).

    Nothing in it changes while a thread reads it. Another state shares with it what is the same.
    """

    book: Book
    crops: Mapping[str, CropProfile]
    now: datetime
    zone: ZoneInfo
    learned: "Learned | None" = None

    @property
    def today(self) -> date:
        """The local day."""
        return self.now.astimezone(self.zone).date()

    def with_book(self, book: Book) -> "SeasonState":
        """The same season, were these its records."""
        return replace(self, book=book)

    def with_changes(self, put: Iterable[Record], deleted: Iterable[Record] = ()) -> "SeasonState":
        """The same season, were these records put and those deleted."""
        return replace(self, book=self.book.with_changes(put, deleted))


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change of the season touched, so that pages know whether to show it again.

    ``batches``, ``places`` and ``market_days`` are ids of those whose own records, or records about
    them, were put or deleted: of a batch its moves, checks, treatments, pins and what became of it;
    of a place its set points, readings and the weather that it follows; of a market day its wants,
    pins and what was brought. ``crops`` are keys of those with other figures or lessons. ``ahead``:
    expected picks, or who takes second grade; ``orchard``: rows and cultivars; ``walks``: what was
    felt on trees; ``weather``: days, what is usual, and frost; ``settings``: the season's own
    record; ``learned``: what checks taught; ``clock``: nothing but the time.
    """

    batches: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    market_days: frozenset[str] = frozenset()
    crops: frozenset[str] = frozenset()
    ahead: bool = False
    orchard: bool = False
    walks: bool = False
    weather: bool = False
    settings: bool = False
    learned: bool = False
    clock: bool = False

    def __or__(self, other: "Changed") -> "Changed":
        """One change after the other."""
        return Changed(*(getattr(self, f.name) | getattr(other, f.name) for f in fields(self)))

    @property
    def records(self) -> bool:
        """Whether anything that is written down is not as it was."""
        about = (self.batches, self.places, self.market_days, self.figures, self.ahead)
        return any(map(bool, about)) or self.walks or self.weather

    @property
    def beyond_trees(self) -> bool:
        """Whether anything but walks and weather is not as it was. Places that follow the weather
        are among :attr:`places`."""
        return replace(self, walks=False, weather=False) != Changed()

    @property
    def figures(self) -> bool:
        """Whether what all fruit goes by is not as it was: crops, cultivars, units and zone."""
        return bool(self.crops or self.orchard or self.settings)


def changed_between(before: SeasonState, after: SeasonState) -> Changed:
    """What is not in one state as in the other. Kinds of records that are shared cost nothing."""
    batches, places, market_days, crops = set[str](), set[str](), set[str](), set[str]()
    ahead = orchard = walks = weather = False
    for record in _different(before.book, after.book):
        match record:
            case Batch():
                batches.add(record.id)
            case Place():
                places.add(record.id)
            case SetPointChange() | TemperatureLog():
                places.add(record.place_id)
            case MarketDay():
                market_days.add(record.id)
            case OwnCrop():
                crops.add(record.key)
            case Lesson() | TreeLesson():
                crops.add(record.crop)
            case Cultivar() | Row():
                orchard = True
            case Walk():
                walks = True
            case DayWeather() | MonthlyNormal() | FrostDates():
                weather = True
            case ExpectedPick() | SecondGrade():
                ahead = True
            case _:
                for told, attribute in ((batches, "batch_id"), (market_days, "market_day_id")):
                    about = getattr(record, attribute, None)
                    if about is not None:
                        told.add(about)
    if weather:
        followers = (*before.book.places.values(), *after.book.places.values())
        places |= {place.id for place in followers if place.weather_lag_h is not None}
    return Changed(
        frozenset(batches),
        frozenset(places),
        frozenset(market_days),
        frozenset(crops),
        ahead,
        orchard,
        walks,
        weather,
        settings=before.book.season != after.book.season,
        learned=before.learned is not after.learned,
    )


def _different(one: Book, other: Book) -> Iterator[Record]:
    """Records of either book that are not in both, as they were and as they are; without the
    season's own."""
    for shelf in SHELF_OF.values():
        before: Mapping[str, Record] = getattr(one, shelf)
        after: Mapping[str, Record] = getattr(other, shelf)
        if before is after:
            continue
        for key in before.keys() | after.keys():
            old, new = before.get(key), after.get(key)
            if old is not new and old != new:
                yield from (record for record in (old, new) if record is not None)


def zone_of(season: SeasonDetails) -> ZoneInfo:
    """The zone in which the season's days begin and end."""
    return ZoneInfo(season.zone)
