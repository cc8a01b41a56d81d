"""Turns recorded checks into likelihoods for learning."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.check import Check
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.learning.feel import FeelNodes, FeltChecks
from ripenroom.science.learning.gauge import ReadChecks, set_aside
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.learning.check_rows import CheckTable, in_both
from ripenroom.season.learning.populations import fit_from_age
from ripenroom.season.pick_ages import ERROR_OF_READING
from ripenroom.units import newtons

Kinds = tuple[tuple[Likelihood, Indices], ...]


@dataclass(frozen=True, slots=True)
class NodeCache:
    """Nodes of checks by feel, of which records they are, and all that they were laid by."""

    records: Indices
    asked: Floats
    nodes: FeelNodes

    def take_over(self, before: "NodeCache") -> None:
        """Have the nodes that ``before`` has of the same records, laid by the same."""
        here, there = in_both(self.records, before.records)
        same = (self.asked[here] == before.asked[there]).all(axis=1)
        self.nodes.put(here[same], before.nodes.of(there[same]))


def likelihoods_of(
    table: CheckTable,
    crops: Sequence[CropConstants],
    crop: Indices,
    batches: BatchAges,
    own_able_sd: Floats,
    before: NodeCache | None = None,
) -> tuple[Kinds, NodeCache]:
    """Likelihoods of the checks of a table, by kind, and the nodes that were laid for them.

    ``crop`` numbers each check's kind among ``crops``, ``batches`` have one line for each check.
    Where checks picked a batch over, what is the batch's own in the log of the odds that its fruit
    can ripen is known to ``own_able_sd``, (checks,). Nodes that ``before`` has are kept.
    """
    checks = table.checks
    read, felt = np.flatnonzero(table.by_gauge), np.flatnonzero(~table.by_gauge)
    hands, picks_over = _hands(table, felt, crops, crop[felt]), table.picks_over[felt]
    own_sd = np.where(picks_over, own_able_sd[felt], 0.0)
    asked = np.column_stack(
        [batches.ripens[felt], batches.fruit_sd[felt], hands.judgement_sd, own_sd, hands.edges]
    )
    laid = NodeCache(table.records[felt], asked, FeelNodes.unknown(felt.size))
    if before is not None:
        laid.take_over(before)
    found: list[tuple[Likelihood, Indices]] = []
    if felt.size:
        likelihood = FeltChecks.of(
            hands.counts,
            hands.edges,
            hands.judgement_sd,
            batches.ripens[felt],
            batches.fruit_sd[felt],
            laid.nodes,
            own_sd,
        )
        # Apart, as only those that picked a batch over are integrated over what is its own.
        for some in (~picks_over, picks_over):
            if some.any():
                found.append((likelihood.some(np.flatnonzero(some)), felt[some]))
    if read.size:
        gauges = _by_gauge(
            [checks[n] for n in read.tolist()], [crops[n] for n in crop[read]], batches, read
        )
        found.append((gauges, read))
    return tuple(found), laid


class _Hands(NamedTuple):
    """What checks by hand tell: counts of feels, the ages between those, what a hand is off by."""

    counts: Floats
    edges: Floats
    judgement_sd: Floats


def _hands(
    table: CheckTable, felt: Indices, crops: Sequence[CropConstants], crop: Indices
) -> _Hands:
    """Each of the checks that were ``felt`` by the figures of its crop, one of ``crops``.

    A picking over tells firm fruit from the rest alone: fruit goes as too soft also when its ripe
    life is over. All its edges are where that was told.
    """
    counts = table.feel_counts[felt]
    edges = np.array([own.feel_edges for own in crops], dtype=float)
    edges = edges.reshape(-1, len(FEELS) - 1)[crop]
    judgement_sd = np.array([own.judgement_sd for own in crops], dtype=float)[crop]
    for n in np.flatnonzero(table.picks_over[felt]).tolist():
        within_days = table.checks[felt[n]].eat_within_days or 0.0
        edges[n], judgement_sd[n] = fit_from_age(crops[crop[n]], within_days)
        counts[n] = counts[n, 0], 0.0, 0.0, 0.0, counts[n, 1:].sum()
    return _Hands(counts, edges, judgement_sd)


def first_of(kinds: Kinds, number: int) -> Kinds:
    """Of the first so many checks."""
    found = []
    for likelihood, numbers in kinds:
        own = int(np.searchsorted(numbers, number))
        if own:
            found.append((likelihood.some(slice(own)), numbers[:own]))
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
