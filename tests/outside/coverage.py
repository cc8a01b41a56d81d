"""``python -m tests.outside.coverage [SEASONS]``: how often 80 % ranges hold the truth."""

import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.learning import fit
from ripenroom.season.learning.learned import Learned
from ripenroom.season.projection import Ranged
from ripenroom.season.projector import Projector
from tests.outside.learning_seasons import Judged, Plot, Truth, pawpaw, season


@dataclass
class Tally:
    """How often ranges held, and how far the middles were off, by what they are of."""

    held: dict[str, list[bool]] = field(default_factory=dict)
    off: dict[str, list[float]] = field(default_factory=dict)

    def add(self, what: str, low: Floats, mid: Floats, high: Floats, truth: Floats) -> None:
        """Count ranges that exist."""
        there = np.isfinite(low) & np.isfinite(high) & np.isfinite(truth)
        held = (low[there] <= truth[there]) & (truth[there] <= high[there])
        self.held.setdefault(what, []).extend(held.tolist())
        self.off.setdefault(what, []).extend(np.abs(mid - truth)[there].tolist())

    def share(self, what: str) -> float:
        """Share of ranges that held."""
        return float(np.mean(self.held[what]))


def tally(judged: Judged, seeds: Iterable[int], batches: int = 6, checks: int = 2) -> Tally:
    """Seasons of these seeds, learned and held to their truth."""
    found = Tally()
    crops, zone = {"pawpaw": pawpaw()}, ZoneInfo("Europe/Lisbon")
    for seed in seeds:
        plot = Plot(batches, checks, judged)
        book, now, truth = season(plot, seed)
        learned = fit(book, crops, zone, now)
        _parameters(found, learned, truth)
        projector = Projector(crops, zone, learned)
        projection = projector.projection(projector.outlook(book, now), now)
        order = np.argsort(np.array(projection.batch_ids))
        for what, dates, true_h in (
            ("opens", projection.opens_h, truth.opens_h),
            ("closes", projection.closes_h, truth.closes_h),
        ):
            for kind, which in (
                ("checked", slice(0, plot.batches)),
                ("unchecked", slice(plot.batches, None)),
            ):
                low, mid, high = _of(dates, order[which])
                found.add(f"{what}, {kind}", low / 24, mid / 24, high / 24, true_h[which] / 24)
    return found


def _of(dates: Ranged, lines: Indices) -> tuple[Floats, Floats, Floats]:
    return dates.low[lines], dates.mid[lines], dates.high[lines]


def _parameters(found: Tally, learned: Learned, truth: Truth) -> None:
    for rate in learned.rates:
        if rate.cultivar_id is not None:
            true = np.array([truth.log_rate[rate.cultivar_id]])
            low, mid, high = (np.log([edge]) for edge in rate.factor)
            found.add("log rate", low, mid, high, true)
    for batch in learned.batches.values():
        n = int(batch.batch_id)
        age, sd = np.array([batch.mean_age]), TAIL_80 * batch.mean_age_sd
        found.add("age at pick", age - sd, age, age + sd, truth.mean_age[n : n + 1])


def main(seasons: int) -> None:
    """Print the table."""
    print("| judged by | of | ranges | held, % | middle off by |")
    print("| --- | --- | ---: | ---: | ---: |")
    judges: tuple[Judged, ...] = ("feel", "readings")
    for judged in judges:
        found = tally(judged, range(seasons))
        for what, held in found.held.items():
            off = float(np.median(found.off[what]))
            print(f"| {judged} | {what} | {len(held)} | {100 * np.mean(held):.1f} | {off:.3f} |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
