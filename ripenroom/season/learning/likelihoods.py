"""From checks as they were written down to how likely they are."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.records.check import Check
from ripenroom.science.batches import Batches
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.learning.feel import FeltChecks, Nodes
from ripenroom.science.learning.gauge import ReadChecks, set_aside
from ripenroom.science.softening import firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.pick_ages import ERROR_OF_READING
from ripenroom.units import newtons

FeelEdges = tuple[float, float, float, float]
Kinds = tuple[tuple[Likelihood, Indices], ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """Nodes of checks by feel, and which check each is of: the record and what its batch is."""

    keys: tuple[tuple[int, float, float, FeelEdges, float], ...]
    nodes: Nodes


def likelihoods_of(
    checks: Sequence[Check],
    crops: Sequence[CropConstants],
    crop: Indices,
    batches: Batches,
    before: Laid | None = None,
) -> tuple[Kinds, Laid]:
    """Likelihoods of checks, by kind, and the nodes that were laid for them.

    ``crop`` numbers each check's kind among ``crops``, ``batches`` have one line for each check.
    Nodes that ``before`` has are kept.
    """
    probed = np.array([c.probed for c in crops], dtype=bool)
    by_gauge = np.array([bool(check.readings) for check in checks], dtype=bool) & probed[crop]
    read, felt = np.flatnonzero(by_gauge), np.flatnonzero(~by_gauge)
    ripens, fruit_sd = batches.ripens[felt], batches.fruit_sd[felt]
    by_hand = [checks[n] for n in felt.tolist()]
    hand = [crops[n] for n in crop[felt].tolist()]
    keys = tuple(
        (id(check), able, sd, own.feel_edges, own.judgement_sd)
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
        own = crop[felt]
        hands = FeltChecks.of(
            np.array([check.feel_counts for check in by_hand], dtype=float),
            np.array([c.feel_edges for c in crops], dtype=float)[own],
            np.array([c.judgement_sd for c in crops], dtype=float)[own],
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
    return tuple(found), Laid(keys, nodes)


def first_of(kinds: Kinds, number: int) -> Kinds:
    """Of the first so many checks."""
    found = []
    for likelihood, numbers in kinds:
        own = int(np.searchsorted(numbers, number))
        if own:
            found.append((likelihood.first(own), numbers[:own]))
    return tuple(found)


def _by_gauge(
    checks: Sequence[Check], crops: Sequence[CropConstants], batches: Batches, numbers: Indices
) -> ReadChecks:
    high = np.array([crop.highest_n for crop in crops], dtype=float)
    low = np.array([crop.lowest_n for crop in crops], dtype=float)
    unripe = firmness_n_at_age(batches.mean_age[numbers], high, low)
    half = np.array([crop.half_n for crop in crops], dtype=float)
    stays = np.clip(np.maximum(unripe, half), low, high)
    read, apart = [], []
    for check, stays_n, crop in zip(checks, stays.tolist(), crops, strict=True):
        all_n = np.array([newtons(r, check.reading_unit or "N") for r in check.readings])
        error_n = float(np.hypot(crop.reading_error_n, ERROR_OF_READING * stays_n))
        kept_n, told = set_aside(all_n, stays_n, error_n)
        read.append(kept_n)
        apart.append(told)
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
        among=np.where(apart, 0.0, 1.0 - batches.ripens[numbers]),
        stays_n=stays,
    )
