"""The library's errors as a table in markdown, for DEVELOPERS.md."""

import statistics
from collections.abc import Mapping, Sequence

from tests.fits.left_out import Missed, summary

_HEAD = (
    "| crop | sources | statements | median, % | one in ten, % | worst, % | in range "
    "| median outside, % | the worst is |"
)


def table(missed: Mapping[str, Sequence[Missed]]) -> str:
    """One crop a line, and all of them in the last."""
    lines = [_HEAD, "| --- " + "| ---: " * 7 + "| --- |"]
    lines += [_line(crop, found) for crop, found in missed.items()]
    everything = [one for found in missed.values() for one in found]
    if everything:
        lines.append(_line("all", everything, len({
            (crop, one.statement.source) for crop, found in missed.items() for one in found
        })))  # fmt: skip
    return "\n".join(lines)


def _line(name: str, found: Sequence[Missed], sources: int | None = None) -> str:
    told = summary(found)
    outside = statistics.median(one.outside_pct for one in found)
    worst = max(found, key=lambda one: one.error_pct)
    cells = [
        name,
        str(sources or told.sources),
        str(told.statements),
        f"{told.median_pct:g}",
        f"{told.tenth_pct:g}",
        f"{told.worst_pct:g}",
        f"{100.0 * told.in_range / told.statements:.0f} %",
        f"{outside:.0f}",
        f"{worst.statement.words} ({worst.statement.source})".replace("|", "/"),
    ]
    return f"| {' | '.join(cells)} |"


def furthest(missed: Mapping[str, Sequence[Missed]], number: int = 5) -> str:
    """The statements of each crop that are missed by most, one a line."""
    lines = []
    for crop, found in missed.items():
        by_error = sorted(found, key=lambda one: one.error_pct, reverse=True)
        for one in by_error[:number]:
            said = f"{one.statement.low} to {one.statement.high}"
            ours = f"{one.middle:.3g} ({one.low:.3g} to {one.high:.3g})"
            lines.append(f"{crop}: {one.statement.words} [{one.statement.source}]: {said}, {ours}")
    return "\n".join(lines)
