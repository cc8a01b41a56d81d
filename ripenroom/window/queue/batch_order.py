"""Which batches the queue shows, in which order, and what the book says of each.

What the book says stands in columns beside those of the projection. They are made once per change
of the book; sorting, filtering and painting then only index into them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile, Gate
from ripenroom.season.crop_kinds import profile_of
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import FloatColumn, FruitState, Projection
from ripenroom.season.whereabouts import places_at
from ripenroom.wording.names import crop_name

_SHORT_WORD = 5
_VOWELS = frozenset("aeiouyäöüéèà")


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """One entry per batch, in the order of ``batch_ids``; compared by identity."""

    batch_ids: tuple[str, ...]
    codes: tuple[str, ...]
    crop_keys: tuple[str, ...]
    crops: tuple[str, ...]
    """What the crops are called."""
    cultivars: tuple[str, ...]
    places: tuple[str, ...]
    marks: tuple[str, ...]
    """The places' marks, where there is no room for their names."""
    place_ids: tuple[str | None, ...]
    picked_h: FloatColumn
    crop_rank: npt.NDArray[np.int32]
    place_rank: npt.NDArray[np.int32]
    gates: tuple[Gate | None, ...]
    """What each waits for before it ripens, None where nothing."""
    moves: Mapping[str, tuple[tuple[float, str], ...]]
    """Changes of place after the pick: hour and the place's mark, by batch id."""


def facts_of(
    book: Book,
    batch_ids: Sequence[str],
    at: datetime,
    crops: Mapping[str, CropProfile],
) -> Facts:
    """The columns of a book for these batches; where each waits is read as on ``at``."""
    batches = [book.batches[batch_id] for batch_id in batch_ids]
    marks = place_marks({place.id: place.name for place in book.places.values()})
    places_now = places_at(book, at, also_ahead=True)
    moved: dict[str, list[tuple[float, str]]] = {}
    for move in sorted(book.moves.values(), key=lambda move: move.at):
        moved.setdefault(move.batch_id, []).append((to_hours(move.at), marks[move.place_id]))

    names = [crop_name(crops, batch.crop) for batch in batches]
    profiles = [profile_of(batch, book, crops) for batch in batches]
    place_of = [places_now.get(batch.id) for batch in batches]
    places = [place.name if place is not None else "" for place in place_of]
    cultivars = [book.cultivars.get(batch.cultivar_id or "") for batch in batches]
    return Facts(
        batch_ids=tuple(batch_ids),
        codes=tuple(batch.code for batch in batches),
        crop_keys=tuple(batch.crop for batch in batches),
        crops=tuple(names),
        cultivars=tuple(cultivar.name if cultivar else "" for cultivar in cultivars),
        places=tuple(places),
        marks=tuple(marks[place.id] if place is not None else "" for place in place_of),
        place_ids=tuple(place.id if place is not None else None for place in place_of),
        picked_h=np.array([to_hours(batch.picked_at) for batch in batches], dtype=np.float64),
        crop_rank=_ranks(names),
        place_rank=_ranks(places),
        gates=tuple(profile.gate if profile else None for profile in profiles),
        moves={batch_id: tuple(steps[1:]) for batch_id, steps in moved.items() if len(steps) > 1},
    )


def place_marks(names: Mapping[str, str]) -> dict[str, str]:
    """A short form for each place, no two alike: ``"Cold"``, ``"Count."``, ``"Ripen."``.

    A short first word stands as it is, a longer one is cut; who shares it with another place adds
    the next word's first letter, or a number.
    """
    marks: dict[str, str] = {}
    for key, name in names.items():
        first, *others = name.split() or ["?"]
        short = _shortened(first)
        tries = [short, *(f"{short} {word[0].upper()}" for word in others)]
        tries += [f"{short} {number}" for number in range(2, len(names) + 2)]
        taken = {mark.casefold() for mark in marks.values()}
        marks[key] = next(mark for mark in tries if mark.casefold() not in taken)
    return marks


def _shortened(word: str) -> str:
    """A word of at most five letters, or the first of them and a point: cut after a consonant, as
    one would by hand."""
    word = word[:1].upper() + word[1:]
    if len(word) <= _SHORT_WORD:
        return word
    cut = word[:_SHORT_WORD]
    return f"{cut[:-1] if cut[-1].casefold() in _VOWELS else cut}."


def _ranks(texts: Sequence[str]) -> npt.NDArray[np.int32]:
    rank = {text: number for number, text in enumerate(sorted(set(texts), key=str.casefold))}
    return np.array([rank[text] for text in texts], dtype=np.int32)


Order = npt.NDArray[np.intp]
"""Indices into a projection's columns, top line first."""


class SortBy(StrEnum):
    """What the lines are sorted by; each falls back on the window's close, then the pick."""

    CLOSES = "closes"
    OPENS = "opens"
    PICKED = "picked"
    PLACE = "place"
    CROP = "crop"


class Shown(StrEnum):
    """Which batches are worth a line."""

    GOOD = "good"
    """Fruit left, and not past."""
    LEFT = "left"
    """Fruit left, past or not."""
    ALL = "all"
    """Also those of which nothing is left."""


@dataclass(frozen=True, slots=True)
class Filter:
    """Lines to show; None means any."""

    crop: str | None = None
    place: str | None = None
    shown: Shown = Shown.LEFT


def arrange(projection: Projection, facts: Facts, sort_by: SortBy, keep: Filter) -> Order:
    """Indices of the lines to show, in order.

    Fruit that is past comes after all that can still be eaten, and batches with nothing left after
    that: what needs a decision stands on top.
    """
    gone = projection.left <= 0
    past = projection.state == FruitState.PAST
    mask = np.ones(len(facts.batch_ids), dtype=bool)
    if keep.shown is not Shown.ALL:
        mask &= ~gone
    if keep.shown is Shown.GOOD:
        mask &= ~past
    if keep.crop is not None:
        mask &= _equals(facts.crops, facts.crop_rank, keep.crop)
    if keep.place is not None:
        mask &= _equals(facts.places, facts.place_rank, keep.place)
    closes = _never_last(projection.closes_h.mid)
    keys: dict[SortBy, npt.NDArray[np.float64] | npt.NDArray[np.int32]] = {
        SortBy.CLOSES: closes,
        SortBy.OPENS: _never_last(projection.opens_h.mid),
        SortBy.PICKED: facts.picked_h,
        SortBy.PLACE: facts.place_rank,
        SortBy.CROP: facts.crop_rank,
    }
    order = np.lexsort((facts.picked_h, closes, keys[sort_by], past, gone))
    return order[mask[order]]


def _never_last(hours: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    never: npt.NDArray[np.float64] = np.where(np.isnan(hours), np.inf, hours)
    return never


def _equals(
    texts: tuple[str, ...], ranks: npt.NDArray[np.int32], wanted: str
) -> npt.NDArray[np.bool_]:
    """Where ``texts`` equal ``wanted``, compared by rank so that 2,000 lines cost one look-up."""
    if wanted not in texts:
        return np.zeros(len(texts), dtype=bool)
    same: npt.NDArray[np.bool_] = ranks == ranks[texts.index(wanted)]
    return same
