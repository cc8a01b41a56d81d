"""Batches as columns for the science: built once per change of the records, reused while dragging.

Lines are ordered by kind, place, feel and pick time: then the dates of neighbouring lines are near
each other, and so are their look-ups in a clock. Ids have no part in it, as they are random.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.records.batch import Batch, Move, Removal, Treatment
from ripenroom.records.book import Book
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.gate_opening import Doses
from ripenroom.science.journey import Stays
from ripenroom.science.outlook import BatchAgeing, Outlook
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.belief import believed
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import column, to_hours
from ripenroom.season.pick_ages import KnownAge, ages_of, bands_of
from ripenroom.season.whereabouts import moves_by_batch

if TYPE_CHECKING:
    from ripenroom.season.belief import LearnedPosterior


@dataclass(frozen=True, slots=True)
class RemovalColumns:
    """What was sold or discarded: of which line, when (h), how many fruit; shape (removals,)."""

    line: Indices
    at_h: Floats
    count: Floats


@dataclass(frozen=True, slots=True)
class BatchColumns:
    """Columns of all batches, and the tables that their numbers point into.

    ``crop`` is what fruit are sold and counted as, ``kind`` whose figures they go by.
    ``rooms`` are the pairs (place, kind) that occur; ``room_of_stay`` says which one each stay is.
    ``doses`` are the treatments with ethylene of each.
    """

    ids: tuple[str, ...]
    place_ids: tuple[str, ...]
    crop_keys: tuple[str, ...]
    crop: Indices
    kinds: tuple[CropKind, ...]
    kind: Indices
    stays: Stays
    rooms: tuple[tuple[int, int], ...]
    room_of_stay: Indices
    pulp_at_pick_c: Floats
    doses: Doses
    batches: BatchAges
    picked: Floats
    taken: RemovalColumns

    def of(self, lines: Indices) -> "BatchColumns":
        """The columns of some batches only."""
        stays = self.stays.of(lines).trimmed()
        new_number = np.full(len(self.ids), -1, dtype=np.intp)
        new_number[lines] = np.arange(lines.size)
        kept = new_number[self.taken.line] >= 0
        return replace(
            self,
            ids=tuple(self.ids[line] for line in lines.tolist()),
            crop=self.crop[lines],
            kind=self.kind[lines],
            stays=stays,
            room_of_stay=self.room_of_stay[lines, : stays.start_h.shape[1]],
            pulp_at_pick_c=self.pulp_at_pick_c[lines],
            doses=self.doses.of(lines),
            batches=self.batches.of(lines),
            picked=self.picked[lines],
            taken=RemovalColumns(
                new_number[self.taken.line[kept]], self.taken.at_h[kept], self.taken.count[kept]
            ),
        )

    def moved(self, lines: Indices, move_h: Floats, place: Indices) -> "BatchColumns":
        """Lines, which may repeat, with one more move each (h; nan: none) after all others.

        Nothing is taken out of them. Their ids repeat as they do.
        """
        stays = self.stays.of(lines).trimmed()
        stays_on = np.isnan(move_h)
        start_h = np.where(stays_on, stays.start_h[:, -1], move_h)
        last = np.where(stays_on, stays.place[:, -1], place)
        longer = stays.and_then(start_h, last)
        kind = self.kind[lines]
        rooms, room_of_stay = _rooms(longer, kind)
        return replace(
            self,
            ids=tuple(self.ids[line] for line in lines.tolist()),
            crop=self.crop[lines],
            kind=kind,
            stays=longer,
            rooms=rooms,
            room_of_stay=room_of_stay,
            pulp_at_pick_c=self.pulp_at_pick_c[lines],
            doses=self.doses.of(lines),
            batches=self.batches.of(lines),
            picked=self.picked[lines],
            taken=_taken((), {}),
        )

    def left_at(self, hours: Floats) -> Floats:
        """Fruit left in each batch before anything of those hours leaves it, (batches, hours)."""
        left = np.repeat(self.picked[:, None], hours.size, axis=1)
        gone = self.taken.count[:, None] * (self.taken.at_h[:, None] < hours)
        np.subtract.at(left, self.taken.line, gone)
        return np.asarray(np.maximum(left, 0.0))


def _stays(
    batches: Sequence[Batch], moves: Mapping[str, list[Move]], number: Mapping[str, int]
) -> Stays:
    most = max((len(moves[b.id]) for b in batches), default=1)
    start_h = np.empty((len(batches), most))
    place = np.empty((len(batches), most), dtype=np.intp)
    for line, batch in enumerate(batches):
        own = moves[batch.id]
        times = [m.at.timestamp() / 3600.0 for m in own]
        places = [number[m.place_id] for m in own]
        pad = most - len(times)
        # Padding repeats the last stay: it then has no length, and the repeat is endless.
        start_h[line] = times + times[-1:] * pad
        place[line] = places + places[-1:] * pad
    return Stays(start_h, place)


def _taken(removals: Iterable[Removal], line_of: Mapping[str, int]) -> RemovalColumns:
    of_lines = [r for r in removals if r.batch_id in line_of]
    return RemovalColumns(
        np.array([line_of[r.batch_id] for r in of_lines], dtype=np.intp),
        column(r.at for r in of_lines),
        np.array([r.count for r in of_lines], dtype=float),
    )


def with_stays(lines: BatchColumns, stays: Stays) -> BatchColumns:
    """The batch columns with other stays in places than their own."""
    rooms, room_of_stay = _rooms(stays, lines.kind)
    return replace(lines, stays=stays, rooms=rooms, room_of_stay=room_of_stay)


def _rooms(stays: Stays, kind: Indices) -> tuple[tuple[tuple[int, int], ...], Indices]:
    kinds = int(kind.max(initial=0)) + 1
    pair = stays.place * kinds + kind[:, None]
    distinct, which = np.unique(pair, return_inverse=True)
    return tuple((int(p) // kinds, int(p) % kinds) for p in distinct), which.reshape(pair.shape)


def _own_pace(book: Book, batches: Sequence[Batch]) -> Floats:
    """How much faster than its kind each batch's cultivar softens."""
    pace = {key: cultivar.rate_factor for key, cultivar in book.cultivars.items()}
    return np.array([pace.get(b.cultivar_id or "", 1.0) for b in batches], dtype=float)


class BatchColumnsMaker:
    """Turns a :class:`Book` into :class:`BatchColumns`; remembers each batch's age at pick.

    With a ``belief`` the lines hold what checks taught.
    """

    def __init__(
        self, constants: ConstantsOfCrops, belief: "LearnedPosterior | None" = None
    ) -> None:
        self._constants = constants
        self._belief = belief
        self._ages: dict[str, KnownAge] = {}

    def lines(self, book: Book) -> BatchColumns:
        """Columns of every batch whose crop has a profile and that waits somewhere.

        Another program may have written batches of other crops, or without a first move: of those
        nothing can be said.
        """
        moves = moves_by_batch(book)
        kind_of = {
            pair: self._constants.kind_of(*pair, book)
            for pair in {(batch.crop, batch.cultivar_id) for batch in book.batches.values()}
        }
        kinds = self._constants.among(set(kind_of.values()))
        table = [self._constants[kind] for kind in kinds]
        numbers = {kind: n for n, kind in enumerate(kinds)}
        number = {pair: numbers[kind] for pair, kind in kind_of.items() if kind in numbers}
        crop_keys = tuple(dict.fromkeys(kind.crop for kind in kinds))
        place_ids = tuple(sorted(book.places, key=lambda key: book.places[key].name))
        place_number = {place_id: n for n, place_id in enumerate(place_ids)}

        def order(batch: Batch) -> tuple[object, ...]:
            last = place_number[moves[batch.id][-1].place_id]
            mine = number[batch.crop, batch.cultivar_id]
            feels, fruit = batch.feel_counts or (), batch.count or 0
            return mine, last, feels, batch.picked_at, batch.code, fruit

        known = (
            b for b in book.batches.values() if (b.crop, b.cultivar_id) in number and b.id in moves
        )
        batches = sorted(known, key=order)
        kind = np.array([number[b.crop, b.cultivar_id] for b in batches], dtype=np.intp)
        crop_of_kind = np.array([crop_keys.index(one.crop) for one in kinds], dtype=np.intp)
        of_batch = [table[n] for n in kind.tolist()]
        picked = np.array(
            [fruit_picked(b, own.fruit_mass_kg) for b, own in zip(batches, of_batch, strict=True)],
            dtype=float,
        )
        line_of = {b.id: n for n, b in enumerate(batches)}
        stays = _stays(batches, moves, place_number)
        rooms, room_of_stay = _rooms(stays, kind)
        return BatchColumns(
            ids=tuple(line_of),
            place_ids=place_ids,
            crop_keys=crop_keys,
            crop=crop_of_kind[kind],
            kinds=kinds,
            kind=kind,
            stays=stays,
            rooms=rooms,
            room_of_stay=room_of_stay,
            pulp_at_pick_c=np.array(
                [np.nan if b.pulp_c is None else b.pulp_c for b in batches], dtype=float
            ),
            doses=_doses(book, line_of),
            batches=self._known(book, batches, table, kind),
            picked=picked,
            taken=_taken(book.removals.values(), line_of),
        )

    def _known(
        self, book: Book, batches: Sequence[Batch], table: Sequence[CropConstants], kind: Indices
    ) -> BatchAges:
        def of_kind(name: str) -> Floats:
            return np.array([getattr(c, name) for c in table], dtype=float)[kind]

        # A record that was not edited is still the same object, so identity tells what is new.
        kept: dict[str, KnownAge] = {}
        unknown: list[tuple[Batch, CropConstants]] = []
        for batch, number in zip(batches, kind.tolist(), strict=True):
            row = self._ages.get(batch.id)
            if row is not None and row.batch is batch and row.crop is table[number]:
                kept[batch.id] = row
            else:
                unknown.append((batch, table[number]))
        self._ages = kept | ages_of(unknown)
        rows = [self._ages[b.id].row for b in batches]
        ages = np.array([row.known for row in rows], dtype=float).reshape(-1, 4)
        known = BatchAges(
            picked_h=column(b.picked_at for b in batches),
            mean_age=ages[:, 0],
            doubt_sd=ages[:, 1],
            fruit_sd=ages[:, 2],
            rate_per_day=of_kind("rate_per_day") * _own_pace(book, batches),
            rate_sd=of_kind("rate_sd"),
            slope_sd=of_kind("slope_sd"),
            ready_age=of_kind("ready_age"),
            too_soft_age=of_kind("too_soft_age"),
            ripens=ages[:, 3],
            bands=bands_of(rows),
        )
        if self._belief is None or not batches:
            return known
        return believed(known, book, batches, self._constants, self._belief)


def _doses(book: Book, line_of: Mapping[str, int]) -> Doses:
    """Every batch's treatments with ethylene, earliest first."""
    of_line: dict[int, list[Treatment]] = {}
    for treatment in sorted(book.treatments.values(), key=lambda one: one.at):
        if treatment.batch_id in line_of:
            of_line.setdefault(line_of[treatment.batch_id], []).append(treatment)
    most = max(map(len, of_line.values()), default=0)
    start_h = np.full((len(line_of), most), np.inf)
    end_h = start_h.copy()
    for line, given in of_line.items():
        start_h[line, : len(given)] = [to_hours(one.at) for one in given]
        end_h[line, : len(given)] = start_h[line, : len(given)] + [one.hours for one in given]
    return Doses(start_h, end_h)


@dataclass(frozen=True)
class BookOutlook(Outlook):
    """The outlook of ``lines``, in their order."""

    lines: BatchColumns

    @classmethod
    def along(cls, lines: BatchColumns, travel: BatchAgeing) -> "BookOutlook":
        """What follows from how lines travel."""
        own = Outlook.of(travel)
        return cls(own.travel, own.way, own.batches, own.gaining, lines)
