"""What a change of a season touched, so that nobody who shows something else looks again."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields

from ripenroom.records.ahead import ExpectedPick, SecondGrade
from ripenroom.records.batch import Batch
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.lesson import Lesson, TreeLesson
from ripenroom.records.market import MarketDay
from ripenroom.records.orchard import Cultivar, Row, Walk
from ripenroom.records.own_crop import OwnCrop
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.temperature_log import TemperatureLog
from ripenroom.records.weather import DayWeather, FrostDates, MonthlyNormal
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class Changed:
    """What is not as it was.

    ``batches``, ``places`` and ``market_days`` are ids of those whose own records, or records about
    them, were put or deleted: of a batch its moves, checks, treatments, pins and what became of it;
    of a place its set points and readings; of a market day its wants, pins and what was brought.
    ``crops`` are keys of those with other figures or lessons. ``ahead``: expected picks, or who
    takes second grade; ``orchard``: rows and cultivars; ``walks``: what was felt on trees;
    ``weather``: days, what is usual, and frost; ``settings``: the season's own record; ``learned``:
    what checks taught; ``clock``: nothing but the time.
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
