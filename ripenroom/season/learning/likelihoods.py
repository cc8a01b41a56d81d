"""Turns recorded checks into likelihoods for learning."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.records.batch import FeelCounts
from ripenroom.records.check import Check
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.learning.feel import FeltChecks, Nodes
from ripenroom.science.learning.gauge import ReadChecks, set_aside
from ripenroom.science.softening import firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.learning.populations import fit_from_age
from ripenroom.season.pick_ages import ERROR_OF_READING
from ripenroom.units import newtons

FeelEdges = tuple[float, float, float, float]
Kinds = tuple[tuple[Likelihood, Indices], ...]


@dataclass(frozen=True, slots=True)
class NodeCache:
    """Nodes of checks by feel, and which check each is of: the record and what its batch is."""

    keys: tuple[tuple[int, float, float, FeelEdges, float], ...]
    nodes: Nodes


def likelihoods_of(
    checks: Sequence[Check],
    crops: Sequence[CropConstants],
    crop: Indices,
    batches: BatchAges,
    before: NodeCache | None = None,
) -> tuple[Kinds, NodeCache]:
    """Likelihoods of checks, by kind, and the nodes that were laid for them.

    ``crop`` numbers each check's kind among ``crops``, ``batches`` have one line for each check.
    Nodes that ``before`` has are kept.
    """
    probed = np.array([c.probed for c in crops], dtype=bool)
    by_gauge = np.array([bool(check.readings) for check in checks], dtype=bool) & probed[crop]
    read, felt = np.flatnonzero(by_gauge), np.flatnonzero(~by_gauge)
    ripens, fruit_sd = batches.ripens[felt], batches.fruit_sd[felt]
    by_hand = [checks[n] for n in felt.tolist()]
    hand = [
        _Felt.of(checks[n], crops[k])
        for n, k in zip(felt.tolist(), crop[felt].tolist(), strict=True)
    ]
    keys = tuple(
        (id(check), able, sd, own.edges, own.judgement_sd)
        for check, able, sd, own in zip(
            by_hand, ripens.tolist(), fruit_sd.tolist(), hand, strict=True
        )
    )
    nodes = Nodes.unknown(len(keys))
    if before is not None:
        was = {key: n for n, key in enumerate(before.keys)}
        pairs = [(n, was[key]) for n, key in enumerate(keys) if key in was]
        here, there = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
        nodes.put(here, before.nodes.of(there))
    found: list[tuple[Likelihood, Indices]] = []
    if felt.size:
        hands = FeltChecks.of(
            np.array([own.counts for own in hand], dtype=float),
            np.array([own.edges for own in hand], dtype=float),
            np.array([own.judgement_sd for own in hand], dtype=float),
            ripens,
            fruit_sd,
            nodes,
        )
        found.append((hands, felt))
    if read.size:
        gauges = _by_gauge(
            [checks[n] for n in read.tolist()], [crops[n] for n in crop[read]], batches, read
        )
        found.append((gauges, read))
    return tuple(found), NodeCache(keys, nodes)


@dataclass(frozen=True, slots=True)
class _Felt:
    """What a check by hand tells: counts of feels, the ages between them, what a hand is off by."""

    counts: FeelCounts
    edges: FeelEdges
    judgement_sd: float

    @classmethod
    def of(cls, check: Check, crop: CropConstants) -> "_Felt":
        """A picking over tells firm fruit from the rest alone: fruit goes as too soft also when its
        ripe life is over. All its edges are where that was told."""
        counts = check.feel_counts or (0, 0, 0, 0, 0)
        if check.eat_within_days is None:
            return cls(counts, crop.feel_edges, crop.judgement_sd)
        edge, judgement_sd = fit_from_age(crop, check.eat_within_days)
        firm, *ripe = counts
        return cls((firm, 0, 0, 0, sum(ripe)), (edge, edge, edge, edge), judgement_sd)


def first_of(kinds: Kinds, number: int) -> Kinds:
    """Of the first so many checks."""
    found = []
    for likelihood, numbers in kinds:
        own = int(np.searchsorted(numbers, number))
        if own:
            found.append((likelihood.first(own), numbers[:own]))
    return tuple(found)


def _by_gauge(
    checks: Sequence[Check], crops: Sequence[CropConstants], batches: BatchAges, numbers: Indices
) -> ReadChecks:
    high = np.array([crop.highest_n for crop in crops], dtype=float)
    low = np.array([crop.lowest_n for crop in crops], dtype=float)
    unripe = firmness_n_at_age(batches.mean_age[numbers], high, low)
    half = np.array([crop.half_n for crop in crops], dtype=float)
    stays = np.clip(np.maximum(unripe, half), low, high)
    read, apart, aside = [], [], []
    for check, stays_n, crop in zip(checks, stays.tolist(), crops, strict=True):
        all_n = np.array([newtons(r, check.reading_unit or "N") for r in check.readings])
        error_n = float(np.hypot(crop.reading_error_n, ERROR_OF_READING * stays_n))
        kept_n, told = set_aside(all_n, stays_n, error_n)
        read.append(kept_n)
        apart.append(told)
        aside.append(float(all_n.size - kept_n.size))
    mean = np.array([float(r.mean()) for r in read])
    return ReadChecks(
        number=np.array([float(r.size) for r in read]),
        # A farm's hardest fruit may read beyond the ends of the usual curve: then it is there.
        mean_n=np.clip(mean, low, high),
        squares_n2=np.array([float(((r - m) ** 2).sum()) for r, m in zip(read, mean, strict=True)]),
        error_n=np.array([crop.reading_error_n for crop in crops], dtype=float),
        error_part=ERROR_OF_READING,
        highest_n=high,
        lowest_n=low,
        ripens=batches.ripens[numbers],
        apart=np.array(apart, dtype=bool),
        aside=np.array(aside),
        stays_n=stays,
    )
