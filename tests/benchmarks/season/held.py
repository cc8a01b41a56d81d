"""How often the 80 % ranges of packing lists held what was fit in truth."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from ripenroom.season.packing import PackingOfCrop
from ripenroom.season.plans.plan import LikelyFruit

_ROUNDING = 0.5
"""Half a fruit beside a range is in it, as fruit is counted whole."""


@dataclass(slots=True)
class RangesHeld:
    """Ranges of lines of packing lists, and of all that lists take, with what was fit in truth."""

    lines: list[tuple[LikelyFruit, float]] = field(default_factory=list)
    lists: list[tuple[LikelyFruit, float]] = field(default_factory=list)

    def add(self, crop: PackingOfCrop, fit: dict[str, float]) -> None:
        """A list, and which share of each batch's fruit was ``fit`` for the market's buyers."""
        found = [(line.ready, line.fruit * fit[line.batch_id]) for line in crop.take]
        if found:
            self.lines += found
            self.lists.append((crop.ready, sum(fruit for _, fruit in found)))

    def told(self) -> Iterator[str]:
        """Lines of a table."""
        yield "| 80 % range of fruit fit in truth | ranges | held, % | below, % | above, % | off |"
        yield "| --- | ---: | ---: | ---: | ---: | ---: |"
        for name, ranges in (("lines that are taken", self.lines), ("all of a list", self.lists)):
            if not ranges:
                continue
            low, mid, high, true = np.array([(*ready, fruit) for ready, fruit in ranges]).T
            below, above = true < low - _ROUNDING, true > high + _ROUNDING
            shares = [100.0 * part.mean() for part in (~below & ~above, below, above)]
            off = 100.0 * (mid.sum() / true.sum() - 1.0)
            yield (
                f"| {name} | {true.size:,} | "
                + " | ".join(f"{share:.0f}" for share in shares)
                + f" | {off:+.1f} % |"
            )
