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
from ripenroom.season.lines import ERROR_OF_READING
from ripenroom.units import newtons

Kinds = tuple[tuple[Likelihood, Indices], ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """Nodes of checks by feel, and which check each is of: the record and what its batch is."""

    keys: tuple[tuple[int, float, float], ...]
    nodes: Nodes


def likelihoods_of(
    checks: Sequence[Check],
    crops: Sequence[CropConstants],
    batches: Batches,
    before: Laid | None = None,
) -> tuple[Kinds, Laid]:
    """Likelihoods of checks, by kind, and the nodes that were laid for them.

    ``crops`` and ``batches`` have one line for each check. Nodes that ``before`` has are kept.
    """
    read = [n for n, (c, crop) in enumerate(zip(checks, crops, strict=True)) if _read(c, crop)]
    felt = sorted(set(range(len(checks))) - set(read))
    ripens, fruit_sd = batches.ripens.tolist(), batches.fruit_sd.tolist()
    keys = tuple((id(checks[n]), ripens[n], fruit_sd[n]) for n in felt)
    nodes = Nodes.unknown(len(felt))
    if before is not None:
        was = {key: n for n, key in enumerate(before.keys)}
        pairs = [(n, was[key]) for n, key in enumerate(keys) if key in was]
        here, there = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
        nodes.put(here, before.nodes.of(there))
    found: list[tuple[Likelihood, Indices]] = []
    if felt:
        numbers = np.array(felt, dtype=np.intp)
        own = [crops[n] for n in felt]
        by_hand = FeltChecks.of(
            np.array([checks[n].feel_counts for n in felt], dtype=float),
            np.array([crop.feel_edges for crop in own], dtype=float),
            np.array([crop.judgement_sd for crop in own], dtype=float),
            batches.ripens[numbers],
            batches.fruit_sd[numbers],
            nodes,
        )
        found.append((by_hand, numbers))
    if read:
        numbers = np.array(read, dtype=np.intp)
        by_gauge = _by_gauge([checks[n] for n in read], [crops[n] for n in read], batches, numbers)
        found.append((by_gauge, numbers))
    return tuple(found), Laid(keys, nodes)


def first_of(kinds: Kinds, number: int) -> Kinds:
    """Of the first so many checks."""
    found = []
    for likelihood, numbers in kinds:
        own = int(np.searchsorted(numbers, number))
        if own:
            found.append((likelihood.first(own), numbers[:own]))
    return tuple(found)


def _read(check: Check, crop: CropConstants) -> bool:
    return crop.probed and bool(check.readings)


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
