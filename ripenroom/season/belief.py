"""What checks taught of ages and speeds of fruit, in the form in which forecasts use it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, field, fields
from types import MappingProxyType
from typing import Any, NamedTuple, Protocol

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.science.ages import Bands
from ripenroom.science.batches import BatchAges, LearnedAges, LearnedPaces, SortedOut, as_learned
from ripenroom.science.blocks import joined
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_kinds import CropKind


@dataclass(frozen=True, slots=True)
class CultivarRate:
    """What is believed of a cultivar's speed.

    ``log_rate`` is the log of how many times as fast as its kind's profile it softens. ``slope_sd``
    is the sd of the kind's activation energy (kJ/mol), ``rate_slope`` its covariance with
    ``log_rate``. Fruit differ ``spread`` times as much as usual, its log known to ``spread_sd``.
    """

    log_rate: float
    log_rate_sd: float
    slope_sd: float
    rate_slope: float
    spread: float
    spread_sd: float


class AgePosterior(NamedTuple):
    """What is believed of the age at pick of ``batch``, as it was written down then and by the
    figures of the ``kind`` that it was.

    ``age_rate`` and ``age_slope`` are covariances with the log of its rate and with the activation
    energy (kJ/mol); ``known_h`` is when it was last checked (h). Of a batch that was picked over,
    or came of that, ``bands`` say how its fruit differ, the share ``ripens`` of it can ripen, and
    it may not have been ``squeezed`` since. (A tuple: one is made of every batch whenever something
    is learned.)
    """

    batch: Batch
    kind: CropKind
    mean_age: float
    doubt_sd: float
    fruit_sd: float
    age_rate: float
    age_slope: float
    known_h: float
    ripens: float | None = None
    bands: Bands | None = None
    squeezed: bool = True


@dataclass(frozen=True, slots=True)
class FarmRate:
    """The log of how many times as fast as its profile a kind softens on this farm, with its sd,
    now and before any check of the season."""

    log_rate: float
    log_rate_sd: float
    book_log_rate: float
    book_log_rate_sd: float


@dataclass(frozen=True, slots=True)
class AbleShift:
    """By how much the log of the odds that a fruit of a kind can ripen is above what its pick says,
    and the sd of that in one batch."""

    log_odds: float
    log_odds_sd: float


@dataclass(frozen=True, slots=True)
class LifeShift:
    """The log of how many times as many days as its profile says ripe fruit of a kind lasts, with
    its sd, now and before any check of the season."""

    log_days: float
    log_days_sd: float
    book_log_days: float
    book_log_days_sd: float


@dataclass(frozen=True, slots=True)
class LearnedPosterior:
    """Paces by kind and cultivar, shifts of kinds' activation energy (kJ/mol), ages of batches.

    ``farms`` has the pace of each kind on this farm, whatever the cultivar; ``able``, of each kind
    that was checked, how much more of its fruit can ripen; ``lives`` how much longer its ripe fruit
    lasts.
    """

    paces: Mapping[tuple[CropKind, str | None], CultivarRate]
    slope_shift_kj_mol: Mapping[CropKind, float]
    ages: Mapping[str, AgePosterior]
    farms: Mapping[CropKind, FarmRate]
    able: Mapping[CropKind, AbleShift] = field(default_factory=lambda: MappingProxyType({}))
    lives: Mapping[CropKind, LifeShift] = field(default_factory=lambda: MappingProxyType({}))

    def pace_of(
        self, kind: CropKind, cultivar_id: str | None, own_factor: float
    ) -> CultivarRate | None:
        """The pace of a cultivar; one that came to its kind later is taken as any of that, times
        its own factor. None where nothing was learned of the kind."""
        known = self.paces.get((kind, cultivar_id))
        if known is not None:
            return known
        any_of_kind = self.paces.get((kind, None))
        if any_of_kind is None:
            return None
        return CultivarRate(
            any_of_kind.log_rate + math.log(own_factor),
            any_of_kind.log_rate_sd,
            any_of_kind.slope_sd,
            any_of_kind.rate_slope,
            any_of_kind.spread,
            any_of_kind.spread_sd,
        )

    def age_of(self, batch: Batch, kind: CropKind) -> AgePosterior | None:
        """The age of a batch that was checked, unless it or its kind was changed since."""
        known = self.ages.get(batch.id)
        same = known is not None and known.kind == kind and known.batch == batch
        return known if same else None


def alike(one: LearnedPosterior, other: LearnedPosterior) -> bool:
    """Whether two beliefs are the same in every figure."""
    if _subjects(one) != _subjects(other):
        return False
    pairs = zip(_figures(one, like=one), _figures(other, like=one), strict=True)
    return all(np.array_equal(mine, theirs, equal_nan=True) for mine, theirs in pairs)


def _subjects(belief: LearnedPosterior) -> object:
    ages = {
        key: (age.batch, age.kind, age.known_h, age.bands is None)
        for key, age in belief.ages.items()
    }
    kinds = belief.slope_shift_kj_mol.keys(), belief.farms.keys(), belief.able.keys()
    return belief.paces.keys(), kinds, belief.lives.keys(), ages


def _figures(belief: LearnedPosterior, like: LearnedPosterior) -> Iterator[Floats]:
    """All that a belief says in figures, in the order of another of the same subjects."""
    yield np.array([astuple(belief.paces[key]) for key in like.paces])
    yield np.array([belief.slope_shift_kj_mol[key] for key in like.slope_shift_kj_mol])
    yield np.array([astuple(belief.farms[key]) for key in like.farms])
    yield np.array([astuple(belief.able[key]) for key in like.able])
    yield np.array([astuple(belief.lives[key]) for key in like.lives])
    for key in like.ages:
        age = belief.ages[key]
        ripens = math.nan if age.ripens is None else age.ripens
        known = (age.mean_age, age.doubt_sd, age.fruit_sd, age.age_rate, age.age_slope)
        yield np.array([*known, ripens])
        if age.bands is not None:
            yield from (
                np.asarray(column)
                for column in (
                    age.bands.part,
                    age.bands.off_sds,
                    age.bands.sds,
                    age.bands.oldest_sds,
                )
            )


class HasBelief(Protocol):
    """What checks taught, as far as projections look at it."""

    @property
    def belief(self) -> LearnedPosterior | None:
        """What is believed; None if nothing was learned."""


def believed(
    book_has: BatchAges,
    book: Book,
    batches: Sequence[Batch],
    constants: ConstantsOfCrops,
    belief: "LearnedPosterior",
) -> BatchAges:
    """The columns of ``batches`` with what is believed of them over what the book has."""
    factor = {key: cultivar.rate_factor for key, cultivar in book.cultivars.items()}
    known: dict[tuple[str, str | None], tuple[CropKind, CultivarRate | None]] = {}
    paces, ages = list[tuple[float, ...]](), list[tuple[float, ...]]()
    sorted_out: dict[int, tuple[Bands, float]] = {}
    for line, batch in enumerate(batches):
        key = batch.crop, batch.cultivar_id
        if key not in known:
            kind = constants.kind_of(*key, book)
            own = factor.get(batch.cultivar_id or "", 1.0)
            known[key] = kind, belief.pace_of(kind, batch.cultivar_id, own)
        kind, pace = known[key]
        if pace is None:
            continue
        able = belief.able.get(kind)
        log_odds = 0.0 if able is None else able.log_odds
        paces.append((line, constants[kind].rate_per_day, *astuple(pace), log_odds))
        age = belief.age_of(batch, kind)
        if age is None:
            continue
        covariances = age.age_rate, age.age_slope
        ages.append((line, age.mean_age, age.doubt_sd, age.fruit_sd, *covariances, age.known_h))
        if age.bands is not None and age.ripens is not None:
            sorted_out[line] = age.bands, age.ripens
    return as_learned(
        book_has,
        LearnedPaces(*_columns(paces, len(fields(LearnedPaces)))),
        LearnedAges(*_columns(ages, len(fields(LearnedAges)))),
        _sorted_out(sorted_out) if sorted_out else None,
    )


def _columns(rows: Sequence[tuple[float, ...]], number: int) -> tuple[Any, ...]:
    """Rows that begin with a line as columns, the first of which are numbers of lines."""
    line, *others = np.array(rows, dtype=float).reshape(-1, number).T
    return line.astype(np.intp), *others


def _sorted_out(own: Mapping[int, tuple[Bands, float]]) -> SortedOut:
    most = max(bands.part.shape[1] for bands, _ in own.values())
    return SortedOut(
        np.array(list(own), dtype=np.intp),
        joined([bands.with_room_for(most) for bands, _ in own.values()]),
        np.array([ripens for _, ripens in own.values()]),
    )
