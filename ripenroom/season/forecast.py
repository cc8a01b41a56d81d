"""What the science says of a season as on a moment, kept until it would say something else."""

import math
import operator
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

import numpy as np

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.refusal import Refusal
from ripenroom.science.softening import firmness_n_at_age
from ripenroom.science.spread import TAIL_80, age_at_quantile
from ripenroom.science.supply import ready_fruit, ready_shares
from ripenroom.season.batch_columns import BookOutlook
from ripenroom.season.buyers import all_days, kitchens_of
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import column, to_hours
from ripenroom.season.projection import BatchStory, Projection, Supply
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import at_home, felt_ready

_STEP_H = 3.0
_LONGEST_H = 24.0 * 120.0
_AFTER_H = 24.0 * 3.0


def story(outlook: BookOutlook, crop: CropConstants, now_h: float) -> BatchStory:
    """The story of the only batch of an outlook, from its pick to some days past its window."""
    batches, windows = outlook.batches, outlook.eat_by
    picked_h = float(batches.picked_h[0])
    ends = [now_h, float(windows.closes.high[0]), float(windows.closes.mid[0])]
    end_h = max((h for h in ends if math.isfinite(h)), default=now_h) + _AFTER_H
    hours = np.arange(picked_h, min(end_h, picked_h + _LONGEST_H) + _STEP_H, _STEP_H)
    gained = outlook.gained(hours)
    rate_sd = gained.rate_sd[0]

    def firmness_n(z: float) -> np.ndarray:
        age = age_at_quantile(z, batches.mean_age, gained.advance[0], batches.doubt_sd, rate_sd)
        return firmness_n_at_age(age, crop.highest_n, crop.lowest_n)

    ready, past = outlook.shares_as_estimated(hours)
    low, _, high = outlook.ready_range(hours)
    here = outlook.in_supply(hours)[0]
    air_c, pulp_c = outlook.temperatures_c(0, hours)
    return BatchStory(
        batch_id=outlook.lines.ids[0],
        hours=hours,
        firmness_low_n=firmness_n(TAIL_80),
        firmness_n=firmness_n(0.0),
        firmness_high_n=firmness_n(-TAIL_80),
        ready_low=low[0] * here,
        ready=ready[0] * here,
        ready_high=high[0] * here,
        past=past[0],
        air_c=air_c,
        pulp_c=pulp_c,
    )


def supply(
    outlook: BookOutlook, book: Book, constants: Mapping[CropKind, CropConstants]
) -> tuple[Supply, ...]:
    """Wanted and ready fruit of every want, in the order of market days and crops.

    Fruit counts for a market day if it is not past when the market begins, and is ready then or
    becomes ready in its buyers' kitchens within the days in which they eat it.
    """
    days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    wants = sorted(book.wants.values(), key=lambda want: want.crop)
    if not days:
        return ()
    if not outlook.lines.ids:
        return tuple(
            Supply(day.id, want.crop, want.count, 0.0, 0.0, 0.0)
            for day in days
            for want in wants
            if want.market_day_id == day.id
        )
    fruit = outlook.lines.left_at(column(day.starts_at for day in days))
    crops = [constants[kind] for kind in outlook.lines.kinds]
    expected, levels = ready_shares(
        outlook,
        column(day.starts_at for day in days),
        all_days(days, crops),
        kitchens_of(outlook.lines, crops),
    )
    for pin in book.pins.values():
        if felt_ready(pin, book) and pin.batch_id in outlook.lines.ids:
            on = next(n for n, day in enumerate(days) if day.id == pin.market_day_id)
            line = outlook.lines.ids.index(pin.batch_id)
            expected[line, on] = levels[line, on] = 1.0
    number = {key: n for n, key in enumerate(outlook.lines.crop_keys)}
    found = []
    for which, day in enumerate(days):
        for want in (w for w in wants if w.market_day_id == day.id):
            of_crop = fruit[:, which] * (outlook.lines.crop == number.get(want.crop, -1))
            low, ready, high = ready_fruit(of_crop, expected[:, which], levels[:, which, :])
            found.append(Supply(day.id, want.crop, want.count, ready, low, high))
    return tuple(found)


_STALE_AFTER = timedelta(minutes=1)
"""How far the clock may move on before what was worked out for now is worked out again."""


class Forecast:
    """What the science says of a season's batches and market days, kept from question to question.

    Each question comes with the season's state as on the moment that is asked about. It is worked
    out again once the season has changed, or the clock has moved on by more than a minute.
    """

    def __init__(self) -> None:
        self._knows: tuple[object, ...] | None = None
        self._kept: _WorkedOut | None = None

    def projection(self, state: SeasonState) -> Projection:
        """What the science says of every batch."""
        return self._worked_out(state).projection

    def with_set_point(
        self,
        state: SeasonState,
        place_id: str,
        celsius: float,
        in_sight: Collection[str] | None = None,
    ) -> Projection:
        """The projection if a place were held at ``celsius`` (C) from now on; see
        :meth:`.Projector.with_set_point`."""
        projection = self.projection(state)
        book = self._at_home(state)
        return self._projector.with_set_point(
            projection, book, state.now, place_id, celsius, in_sight
        )

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
                "No dates for {code}: this season has no crop “{crop}”, or the batch has no place.",
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
