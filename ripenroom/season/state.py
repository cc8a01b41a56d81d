"""A season at one moment: what every question is asked of and every action begins from."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book, Record
from ripenroom.records.crop.profile import CropProfile

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
