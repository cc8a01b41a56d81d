"""Many settings of thermostats looked at in one go: each stands beside its place as a *twin*.

A twin is the place itself with another set point from now on. A batch that is in the place from now
on is in the twin where that setting is tried, so that fruit under hundreds of combinations of
settings are so many lines of one look, and each setting has its clocks run once.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.season.advice.thermostat_settings import held_at
from ripenroom.season.batch_columns import BatchColumns, with_stays
from ripenroom.season.moments import to_hours


@dataclass(frozen=True, slots=True)
class LinesTried:
    """Batches under settings: as ``lines``, each in the places and twins that it will be in then.
    Of each line ``there`` says which place stands for which, (lines, places)."""

    lines: BatchColumns
    there: Indices

    @property
    def stays(self) -> Stays:
        """Where the batches are and will be."""
        return self.lines.stays

    def place(self, line: Indices, place: Indices) -> Indices:
        """What stands for places that lines are moved to; -1 stays so."""
        return np.where(place < 0, place, self.there[line, place])


class TriedPlaces:
    """Places with twins for every one of some settings (C), today's of each place first.

    Settings are told by their number, in the order of ``settings``: 0 is today's.
    """

    def __init__(
        self,
        book: Book,
        now: datetime,
        lines: BatchColumns,
        settings: Mapping[str, Sequence[float]],
    ) -> None:
        self.counts = np.array([len(own) for own in settings.values()], dtype=np.intp)
        self._now_h = to_hours(now)
        self.book, twins = book, list(lines.place_ids)
        self._number: list[Indices] = []
        for place_id, (_, *others) in settings.items():
            begin = len(twins)
            for celsius in others:
                twins.append(f"{place_id} at {celsius}")
                self.book = _with_twin(self.book, now, place_id, celsius, twins[-1])
            own = lines.place_ids.index(place_id)
            self._number.append(np.array([own, *range(begin, len(twins))], dtype=np.intp))
        self._lines = replace(lines, place_ids=tuple(twins))

    def lines(self, batch: Indices, setting: Indices) -> LinesTried:
        """Lines of ``batch`` numbers, which may repeat, each under settings by their numbers,
        (lines, places that are tried)."""
        there = np.tile(np.arange(len(self._lines.place_ids)), (batch.size, 1))
        for number, own in zip(self._number, setting.T, strict=True):
            there[:, number[0]] = number[own]
        stays = self._lines.stays.of(batch)
        ahead = stays.end_h > self._now_h
        moved = np.take_along_axis(there, stays.place, axis=1)
        travelled = Stays(stays.start_h, np.where(ahead, moved, stays.place))
        # As they are, but each as often as it is asked for.
        never = np.full(batch.size, np.nan)
        again = self._lines.moved(batch, never, stays.place[:, -1])
        return LinesTried(with_stays(again, travelled.trimmed()), there)


def _with_twin(book: Book, now: datetime, place_id: str, celsius: float, twin_id: str) -> Book:
    """The book with one place more, just like another but set to ``celsius`` (C) from now on."""
    place = replace(book.places[place_id], id=twin_id)
    changes = [
        replace(change, id=f"{change.id} of {twin_id}", place_id=twin_id)
        for change in book.set_points.values()
        if change.place_id == place_id
    ]
    logs = [
        replace(log, id=f"{log.id} of {twin_id}", place_id=twin_id)
        for log in book.temperature_logs.values()
        if log.place_id == place_id
    ]
    return held_at(book.with_changes([place, *changes, *logs]), now, {twin_id: celsius})
