"""Seasons side by side: means, and paired differences with their ranges, as markdown."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from tests.benchmarks.season.play import Tally
from tests.benchmarks.season.truth.fruit import Floats

_LOW, _HIGH = 0.1, 0.9
"""Quantiles of an 80 % range."""

_COLUMNS = {
    "sold at best": "at_best",
    "disappointed": "disappointed",
    "thrown": "thrown",
    "left": "left",
    "crates moved": "crates_moved",
    "not moved": "not_moved",
}
"""What is counted, and the field of a tally that holds it."""


def means(tallies: Mapping[str, Sequence[Tally]]) -> Iterator[str]:
    """Lines of a table: the mean season of each grower."""
    yield "| mean of a season | " + " | ".join(_COLUMNS) + " | money |"
    yield "| --- |" + " ---: |" * (len(_COLUMNS) + 1)
    for name, own in tallies.items():
        counts = [f"{_column(own, field).mean():,.0f}" for field in _COLUMNS.values()]
        money = _column(own, "revenue_minor").mean() / 100.0
        yield f"| {name} | " + " | ".join(counts) + f" | {money:,.0f} |"


def differences(ours: str, tallies: Mapping[str, Sequence[Tally]]) -> Iterator[str]:
    """Lines of a table: by how much one grower differs from each other, season by season."""
    yield f"| {ours} over | fruit sold at best | ratio | wins | disappointed | crates moved |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: |"
    own = _column(tallies[ours], "at_best")
    for name, others in tallies.items():
        if name == ours:
            continue
        sold = own - _column(others, "at_best")
        ratio = own.sum() / max(own.sum() - sold.sum(), 1.0)
        rest = [
            ranged(_column(tallies[ours], field) - _column(others, field))
            for field in ("disappointed", "crates_moved")
        ]
        wins = f"{int((sold > 0.0).sum())} of {sold.size}"
        yield f"| {name} | {ranged(sold)} | {ratio:.2f} | {wins} | " + " | ".join(rest) + " |"


def against_bound(tallies: Mapping[str, Sequence[Tally]], most: Sequence[int]) -> Iterator[str]:
    """Lines of a table: which part of what an oracle sells each grower sells at its best."""
    bound = np.array(most, dtype=float)
    yield f"| part of the oracle's {bound.mean():,.0f} | mean | 80 % of seasons |"
    yield "| --- | ---: | ---: |"
    for name, own in tallies.items():
        part = _column(own, "at_best") / np.maximum(bound, 1.0)
        low, high = np.quantile(part, (_LOW, _HIGH))
        yield f"| {name} | {part.mean():.2f} | {low:.2f} to {high:.2f} |"


def ranged(values: Floats) -> str:
    """A mean and the range that holds 80 % of seasons."""
    low, high = np.quantile(values, (_LOW, _HIGH))
    return f"{values.mean():+,.0f} ({low:+,.0f} to {high:+,.0f})"


def _column(tallies: Sequence[Tally], field: str) -> Floats:
    return np.array([getattr(tally, field) for tally in tallies], dtype=float)
