"""Batches as columns for the science: built once per change of the records, reused while dragging.

Lines are ordered by crop, place, feel and pick time: then the dates of neighbouring lines are near
each other, and so are their look-ups in a clock.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.records.batch import Batch, FeelCounts, Move, Removal
from ripenroom.records.book import Book
from ripenroom.science.able import Able, fruit_that_ripens
from ripenroom.science.age_belief import AgeAtPick, Prior
from ripenroom.science.at_pick import age_from_feel, age_from_nothing, age_from_readings
from ripenroom.science.bands import Bands
from ripenroom.science.batches import Batches
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.believed import believed
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.moments import column, to_hours
from ripenroom.season.moves import moves_by_batch
from ripenroom.units import newtons

if TYPE_CHECKING:
    from ripenroom.season.learning.belief import Belief


@dataclass(frozen=True, slots=True)
class Taken:
    """What was sold or discarded: of which line, when (h), how many fruit; shape (removals,)."""

    line: Indices
    at_h: Floats
    count: Floats


@dataclass(frozen=True, slots=True)
class Lines:
    """Columns of all batches, and the tables that their numbers point into.

    ``rooms`` are the pairs (place, crop) that occur; ``room_of_stay`` says which one each stay is.
    ``treated_h`` is the hour from which ethylene has opened a batch's gate; inf if it has not.
    """

    ids: tuple[str, ...]
    place_ids: tuple[str, ...]
    crop_keys: tuple[str, ...]
    crop: Indices
    stays: Stays
    rooms: tuple[tuple[int, int], ...]
    room_of_stay: Indices
    pulp_at_pick_c: Floats
    treated_h: Floats
    batches: Batches
    picked: Floats
    taken: Taken

    def of(self, lines: Indices) -> "Lines":
        """The columns of some batches only."""
        stays = self.stays.of(lines).trimmed()
        new_number = np.full(len(self.ids), -1, dtype=np.intp)
        new_number[lines] = np.arange(lines.size)
        kept = new_number[self.taken.line] >= 0
        return replace(
            self,
            ids=tuple(self.ids[line] for line in lines.tolist()),
            crop=self.crop[lines],
            stays=stays,
            room_of_stay=self.room_of_stay[lines, : stays.start_h.shape[1]],
            pulp_at_pick_c=self.pulp_at_pick_c[lines],
            treated_h=self.treated_h[lines],
            batches=self.batches.of(lines),
            picked=self.picked[lines],
            taken=Taken(
                new_number[self.taken.line[kept]], self.taken.at_h[kept], self.taken.count[kept]
            ),
        )

    def moved(self, lines: Indices, move_h: Floats, place: Indices) -> "Lines":
        """Lines, which may repeat, with one more move each (h; nan: none) after all others.

        Nothing is taken out of them. Their ids repeat as they do.
        """
        stays = self.stays.of(lines).trimmed()
        stays_on = np.isnan(move_h)
        start_h = np.where(stays_on, stays.start_h[:, -1], move_h)
        last = np.where(stays_on, stays.place[:, -1], place)
        longer = stays.and_then(start_h, last)
        crop = self.crop[lines]
        rooms, room_of_stay = _rooms(longer, crop)
        return replace(
            self,
            ids=tuple(self.ids[line] for line in lines.tolist()),
            crop=crop,
            stays=longer,
            rooms=rooms,
            room_of_stay=room_of_stay,
            pulp_at_pick_c=self.pulp_at_pick_c[lines],
            treated_h=self.treated_h[lines],
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


def _taken(removals: Iterable[Removal], line_of: Mapping[str, int]) -> Taken:
    of_lines = [r for r in removals if r.batch_id in line_of]
    return Taken(
        np.array([line_of[r.batch_id] for r in of_lines], dtype=np.intp),
        column(r.at for r in of_lines),
        np.array([r.count for r in of_lines], dtype=float),
    )


def _rooms(stays: Stays, crop: Indices) -> tuple[tuple[tuple[int, int], ...], Indices]:
    crops = int(crop.max(initial=0)) + 1
    pair = stays.place * crops + crop[:, None]
    distinct, which = np.unique(pair, return_inverse=True)
    return tuple((int(p) // crops, int(p) % crops) for p in distinct), which.reshape(pair.shape)


def _own_pace(book: Book, batches: Sequence[Batch]) -> Floats:
    """How much faster than its crop each batch's cultivar softens."""
    pace = {key: cultivar.rate_factor for key, cultivar in book.cultivars.items()}
    return np.array([pace.get(b.cultivar_id or "", 1.0) for b in batches], dtype=float)


ERROR_OF_READING = 0.05
"""Part of a reading that adds to its error: a gauge errs by more on firm fruit (an estimate; on
apples of some 80 N users differ by 13 to 18 N, on ripe fruit by far less)."""


@dataclass(frozen=True, slots=True)
class _AgeRow:
    """Of the fruit that can ripen mean age at pick, the doubt about it, their own spread, and the
    share of all fruit that they are: ``known``. ``bands`` of one batch, None for one bell curve."""

    known: tuple[float, float, float, float]
    bands: Bands | None


class LineMaker:
    """Turns a :class:`Book` into :class:`Lines`; remembers each batch's age at pick.

    With a ``belief`` the lines hold what checks taught.
    """

    def __init__(
        self, constants: Mapping[str, CropConstants], belief: "Belief | None" = None
    ) -> None:
        self._constants = constants
        self._belief = belief
        self._ages: dict[str, tuple[Batch, _AgeRow]] = {}

    def lines(self, book: Book) -> Lines:
        """Columns of every batch whose crop has a profile and that waits somewhere.

        Another program may have written batches of other crops, or without a first move: of those
        nothing can be said.
        """
        moves = moves_by_batch(book)
        grown = {batch.crop for batch in book.batches.values()}
        crop_keys = tuple(key for key in self._constants if key in grown)
        crop_number = {key: n for n, key in enumerate(crop_keys)}
        place_ids = tuple(book.places)
        place_number = {place_id: n for n, place_id in enumerate(place_ids)}

        def order(batch: Batch) -> tuple[int, int, FeelCounts | tuple[()], datetime]:
            last = place_number[moves[batch.id][-1].place_id]
            return crop_number[batch.crop], last, batch.feel_counts or (), batch.picked_at

        known = (b for b in book.batches.values() if b.crop in crop_number and b.id in moves)
        batches = sorted(known, key=order)
        crop = np.array([crop_number[b.crop] for b in batches], dtype=np.intp)
        picked = np.array(
            [fruit_picked(b, self._constants[b.crop].fruit_mass_kg) for b in batches], dtype=float
        )
        line_of = {b.id: n for n, b in enumerate(batches)}
        stays = _stays(batches, moves, place_number)
        rooms, room_of_stay = _rooms(stays, crop)
        return Lines(
            ids=tuple(line_of),
            place_ids=place_ids,
            crop_keys=crop_keys,
            crop=crop,
            stays=stays,
            rooms=rooms,
            room_of_stay=room_of_stay,
            pulp_at_pick_c=np.array(
                [np.nan if b.pulp_c is None else b.pulp_c for b in batches], dtype=float
            ),
            treated_h=self._treated_h(book, batches, line_of),
            batches=self._known(book, batches, [self._constants[k] for k in crop_keys], crop),
            picked=picked,
            taken=_taken(book.removals.values(), line_of),
        )

    def _treated_h(
        self, book: Book, batches: Sequence[Batch], line_of: Mapping[str, int]
    ) -> Floats:
        treated = np.full(len(batches), np.inf)
        given = np.zeros(len(batches))
        for treatment in sorted(book.treatments.values(), key=lambda t: t.at):
            line = line_of.get(treatment.batch_id)
            if line is None or np.isfinite(treated[line]):
                continue
            needed_h = self._constants[batches[line].crop].gate.ethylene_h
            if given[line] + treatment.hours >= needed_h:
                treated[line] = to_hours(treatment.at) + needed_h - given[line]
            given[line] += treatment.hours
        return treated

    def _known(
        self, book: Book, batches: Sequence[Batch], table: Sequence[CropConstants], crop: Indices
    ) -> Batches:
        def of_crop(name: str) -> Floats:
            return np.array([getattr(c, name) for c in table], dtype=float)[crop]

        # A record that was not edited is still the same object, so identity tells what is new.
        kept = {b.id: row for b in batches if (row := self._ages.get(b.id)) and row[0] is b}
        unknown = [b for b in batches if b.id not in kept]
        self._ages = kept | self._ages_of(unknown)
        rows = [self._ages[b.id][1] for b in batches]
        ages = np.array([row.known for row in rows], dtype=float).reshape(-1, 4)
        known = Batches(
            picked_h=column(b.picked_at for b in batches),
            mean_age=ages[:, 0],
            doubt_sd=ages[:, 1],
            fruit_sd=ages[:, 2],
            rate_per_day=of_crop("rate_per_day") * _own_pace(book, batches),
            rate_sd=of_crop("rate_sd"),
            slope_sd=of_crop("slope_sd"),
            ready_age=of_crop("ready_age"),
            too_soft_age=of_crop("too_soft_age"),
            ripens=ages[:, 3],
            bands=_bands_of(rows),
        )
        if self._belief is None or not batches:
            return known
        return believed(known, book, batches, self._constants, self._belief)

    def _ages_of(self, batches: list[Batch]) -> dict[str, tuple[Batch, _AgeRow]]:
        found: dict[str, tuple[Batch, _AgeRow]] = {}
        by_kind: dict[str, list[Batch]] = {"feel": [], "gauge": [], "none": []}
        for batch in batches:
            # What was noted before a crop's profile was changed may mean nothing now.
            crop = self._constants[batch.crop]
            felt = crop.felt and any(batch.feel_counts or ())
            kind = "gauge" if crop.probed and batch.readings else "feel" if felt else "none"
            by_kind[kind].append(batch)
        for kind, group in by_kind.items():
            if not group:
                continue
            columns = _Columns(group, self._constants)
            age = {
                "feel": columns.from_feel,
                "gauge": columns.from_gauge,
                "none": columns.from_nothing,
            }[kind]()
            ripens, age = fruit_that_ripens(age, columns.able)
            rows = np.column_stack([age.mean, age.doubt_sd, age.fruit_sd, ripens]).tolist()
            for number, (batch, row) in enumerate(zip(group, rows, strict=True)):
                bands = age.bands
                mixed = bands is not None and bool(bands.part[number, 1:].any())
                own = bands.of(np.array([number])) if bands is not None and mixed else None
                found[batch.id] = batch, _AgeRow(tuple(row), own)
        return found


def _bands_of(rows: Sequence[_AgeRow]) -> Bands | None:
    """Bands of batches end to end; None where each is one bell curve."""
    mixed = [(line, row.bands) for line, row in enumerate(rows) if row.bands is not None]
    if not mixed:
        return None
    bells = Bands.bell(len(rows)).with_room_for(max(own.part.shape[1] for _, own in mixed))
    lines = np.array([line for line, _ in mixed], dtype=np.intp)
    return bells.put(lines, joined([own for _, own in mixed]))


class _Columns:
    """Crop constants and readings of some batches, as columns."""

    def __init__(self, batches: list[Batch], constants: Mapping[str, CropConstants]) -> None:
        self._batches = batches
        self._crops = [constants[b.crop] for b in batches]

    def of(self, name: str) -> Floats:
        return np.array([getattr(c, name) for c in self._crops], dtype=float)

    @property
    def able(self) -> Able:
        """Which fruit can ripen."""
        return Able(
            *(self.of(n) for n in ("half_n", "width_n", "half_sd", "highest_n", "lowest_n"))
        )

    @property
    def _prior(self) -> Prior:
        return Prior(self.of("maturity_age"), self.of("maturity_sd"), self.of("fruit_sd"))

    def from_feel(self) -> AgeAtPick:
        counts = np.array([b.feel_counts for b in self._batches], dtype=float)
        edges = np.array([c.feel_edges for c in self._crops], dtype=float)
        return age_from_feel(counts, edges, self.of("judgement_sd"), self._prior)

    def from_gauge(self) -> AgeAtPick:
        # A farm's hardest fruit may read beyond the ends of the usual curve: then it is at its end.
        readings = [
            np.clip([newtons(r, b.reading_unit or "N") for r in b.readings], low, high)
            for b, low, high in zip(
                self._batches, self.of("lowest_n"), self.of("highest_n"), strict=True
            )
        ]
        mean = np.array([r.mean() for r in readings])
        return age_from_readings(
            np.array([float(r.size) for r in readings]),
            mean,
            np.array([((r - m) ** 2).sum() for r, m in zip(readings, mean, strict=True)]),
            np.hypot(self.of("reading_error_n"), ERROR_OF_READING * mean),
            self.of("highest_n"),
            self.of("lowest_n"),
            self._prior,
        )

    def from_nothing(self) -> AgeAtPick:
        return age_from_nothing(self._prior)
