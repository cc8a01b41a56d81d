"""What the science says of a season as on a moment, kept until it would say something else."""

import operator
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.refusal import Refusal
from ripenroom.season.away import at_home
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.findings import BatchStory, Supply
from ripenroom.season.kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.outlook import BookOutlook
from ripenroom.season.projection import Projection
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from ripenroom.season.story import story
from ripenroom.season.supply import supply

_STALE_AFTER = timedelta(minutes=1)
"""How far the clock may move on before what was worked out for now is worked out again."""


class Forecast:
    """Of one season; its state as on the moment comes with each question."""

    def __init__(self) -> None:
        self._knows: tuple[object, ...] | None = None
        self._kept: _WorkedOut | None = None

    def projection(self, state: SeasonState) -> Projection:
        """What the science says of every batch."""
        return self._worked_out(state).projection

    def with_set_point(self, state: SeasonState, place_id: str, celsius: float) -> Projection:
        """The projection if a place were held at ``celsius`` (C) from now on."""
        projection = self.projection(state)
        book = self._at_home(state)
        return self._projector.with_set_point(projection, book, state.now, place_id, celsius)

    def supply(self, state: SeasonState) -> tuple[Supply, ...]:
        """Wanted and ready fruit of every market day and crop."""
        return self._worked_out(state).supply

    def story(
        self, state: SeasonState, batch: Batch, moves: Sequence[Move], by_the_book: bool = False
    ) -> BatchStory:
        """One batch over time, with its ``moves``; ``by_the_book`` as if no check were counted.

        Raises ``Refusal`` where its crop is unknown or it waits nowhere.
        """
        if batch.crop not in state.crops or not moves:
            raise Refusal(
                "batch_id",
                "Nothing can be worked out for {code}: there is no crop “{crop}” here, or nowhere "
                "that it waits.",
                code=batch.code,
                crop=batch.crop,
            )
        self._set_up(state)
        projector = self._of_one_by_the_book if by_the_book else self._of_one
        book, now = state.book, state.now
        alone = replace(book, batches={batch.id: batch}, moves={move.id: move for move in moves})
        outlook = projector.outlook(alone, now)
        return story(outlook, projector.constants.of_batch(batch, book), to_hours(now))

    def _set_up(self, state: SeasonState) -> None:
        """Make what depends on crops, zone and lessons alone, unless they are the same."""
        knows = state.crops, state.zone, state.learned
        if self._knows is not None and all(map(operator.is_, knows, self._knows)):
            return
        self._knows = knows
        self._kept = None
        self._projector = Projector.of(state)
        # Stories are of a book with one batch: they must not drive out the lines of all.
        self._of_one = Projector.of(state)
        self._of_one_by_the_book = self._of_one
        if state.learned is not None:
            self._of_one_by_the_book = Projector.of(replace(state, learned=None))

    def _worked_out(self, state: SeasonState) -> "_WorkedOut":
        self._set_up(state)
        kept = self._kept
        # Every change makes a new book, so identity tells what is stale.
        if kept is None or kept.book is not state.book or abs(state.now - kept.now) >= _STALE_AFTER:
            home = self._at_home(state)
            outlook = self._projector.outlook(home, state.now)
            projection = self._projector.projection(outlook, state.now)
            constants = self._projector.constants
            kept = _WorkedOut(state.book, home, state.now, outlook, projection, constants)
            self._kept = kept
        return kept

    def _at_home(self, state: SeasonState) -> Book:
        """The book of what is at home; the same one while a market day goes on."""
        home = at_home(state.book, state.crops, state.now)
        kept = self._kept
        same = kept is not None and kept.book is state.book and kept.home == home
        return kept.home if kept is not None and same else home


@dataclass(frozen=True)
class _WorkedOut:
    """What was worked out for a ``book`` at a moment, of what was ``home`` then; supply only once
    it is asked for."""

    book: Book
    home: Book
    now: datetime
    outlook: BookOutlook
    projection: Projection
    constants: Mapping[CropKind, CropConstants]

    @cached_property
    def supply(self) -> tuple[Supply, ...]:
        return supply(self.outlook, self.book, self.constants)
