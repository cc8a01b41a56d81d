"""What the science says of a season as on a moment, kept until it would say something else."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.season.belief import HasBelief
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.findings import BatchStory, Supply
from ripenroom.season.kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.outlook import BookOutlook
from ripenroom.season.projection import Projection
from ripenroom.season.projector import Projector
from ripenroom.season.story import story
from ripenroom.season.supply import supply

_STALE_AFTER = timedelta(minutes=1)
"""How far the clock may move on before what was worked out for now is worked out again."""


class Forecast:
    """Of one set of crops and one home zone; the book and the moment come with each question."""

    def __init__(
        self, crops: Mapping[str, CropProfile], zone: ZoneInfo, learned: HasBelief | None = None
    ) -> None:
        self._crops = crops
        self._zone = zone
        self.take_in(learned)

    def take_in(self, learned: HasBelief | None) -> None:
        """From here on count on what was learned from checks."""
        self._projector = Projector(self._crops, self._zone, learned)
        # Stories are of a book with one batch: they must not drive out the lines of all.
        self._of_one = Projector(self._crops, self._zone, learned)
        self._of_one_by_the_book = self._of_one
        if learned is not None:
            self._of_one_by_the_book = Projector(self._crops, self._zone)
        self._kept: _WorkedOut | None = None

    def projection(self, book: Book, now: datetime) -> Projection:
        """What the science says of every batch."""
        return self._worked_out(book, now).projection

    def with_set_point(
        self, book: Book, now: datetime, place_id: str, celsius: float
    ) -> Projection:
        """The projection if a place were held at ``celsius`` (C) from now on."""
        projection = self.projection(book, now)
        return self._projector.with_set_point(projection, book, now, place_id, celsius)

    def supply(self, book: Book, now: datetime) -> tuple[Supply, ...]:
        """Wanted and ready fruit of every market day and crop."""
        return self._worked_out(book, now).supply

    def story(
        self,
        book: Book,
        now: datetime,
        batch: Batch,
        moves: Sequence[Move],
        by_the_book: bool = False,
    ) -> BatchStory:
        """One batch over time, with its ``moves``; ``by_the_book`` as if no check were counted.

        Raises ``Refusal`` where its crop is unknown or it waits nowhere.
        """
        if batch.crop not in self._crops or not moves:
            raise Refusal(
                "batch_id",
                "Nothing can be worked out for {code}: there is no crop “{crop}” here, or nowhere "
                "that it waits.",
                code=batch.code,
                crop=batch.crop,
            )
        projector = self._of_one_by_the_book if by_the_book else self._of_one
        alone = replace(book, batches={batch.id: batch}, moves={move.id: move for move in moves})
        outlook = projector.outlook(alone, now)
        return story(outlook, projector.constants.of_batch(batch, book), to_hours(now))

    def _worked_out(self, book: Book, now: datetime) -> "_WorkedOut":
        kept = self._kept
        # Every change makes a new book, so identity tells what is stale.
        if kept is None or kept.book is not book or abs(now - kept.now) >= _STALE_AFTER:
            outlook = self._projector.outlook(book, now)
            projection = self._projector.projection(outlook, now)
            kept = _WorkedOut(book, now, outlook, projection, self._projector.constants)
            self._kept = kept
        return kept


@dataclass(frozen=True)
class _WorkedOut:
    """What was worked out for a book at a moment; supply only once it is asked for."""

    book: Book
    now: datetime
    outlook: BookOutlook
    projection: Projection
    constants: Mapping[CropKind, CropConstants]

    @cached_property
    def supply(self) -> tuple[Supply, ...]:
        return supply(self.outlook, self.book, self.constants)
