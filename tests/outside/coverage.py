"""``python -m tests.outside.coverage [SEASONS]``: how often 80 % ranges hold the truth, and how far
off the ready date is after some checks."""

import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.doubtful_date import DateRange
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.learned import Learned
from ripenroom.season.learning.fit import fit
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
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
        learned = fit(SeasonState(book, crops, now, zone))
        _parameters(found, learned, truth)
        projector = Projector(crops, zone, learned)
        outlook = projector.outlook(book, now)
        # Also of batches of which most won't ripen, which are shown no dates.
        windows, order = outlook.eat_by, np.argsort(np.array(outlook.lines.ids))
        for what, dates, true_h in (
            ("opens", windows.opens, truth.opens_h),
            ("closes", windows.closes, truth.closes_h),
        ):
            for kind, which in (
                ("checked", slice(0, plot.batches)),
                ("unchecked", slice(plot.batches, None)),
            ):
                low, mid, high = _of(dates, order[which])
                found.add(f"{what}, {kind}", low / 24, mid / 24, high / 24, true_h[which] / 24)
    return found


def _of(dates: DateRange, lines: Indices) -> tuple[Floats, Floats, Floats]:
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


def ready_date_errors(
    judged: Judged, checks: int, seeds: Iterable[int]
) -> tuple[Floats, Floats, Floats]:
    """Of one batch at 20 C that was checked before it was ready: days that its opening date is off,
    the width of the date's 80 % range (days), and the days off of another batch of its cultivar."""
    crops, zone = {"pawpaw": pawpaw()}, ZoneInfo("Europe/Lisbon")
    off, wide, other = [], [], []
    for seed in seeds:
        plot = Plot(1, checks, judged, unchecked=2, places=("room",), until=0.6)
        book, now, truth = season(plot, seed)
        projector = Projector(crops, zone, fit(SeasonState(book, crops, now, zone)))
        outlook = projector.outlook(book, now)
        opens = outlook.eat_by.opens
        first, third = outlook.lines.ids.index("000"), outlook.lines.ids.index("002")
        off.append(abs(opens.mid[first] - truth.opens_h[0]) / 24.0)
        wide.append((opens.high[first] - opens.low[first]) / 24.0)
        other.append(abs(opens.mid[third] - truth.opens_h[2]) / 24.0)
    return np.array(off), np.array(wide), np.array(other)


JUDGES: tuple[Judged, ...] = ("feel", "readings")


def main(seasons: int) -> None:
    """Print the tables."""
    print("| judged by | of | ranges | held, % | middle off by |")
    print("| --- | --- | ---: | ---: | ---: |")
    for judged in JUDGES:
        found = tally(judged, range(seasons))
        for what, held in found.held.items():
            off = float(np.median(found.off[what]))
            print(f"| {judged} | {what} | {len(held)} | {100 * np.mean(held):.1f} | {off:.3f} |")
    print()
    columns = ("judged by", "checks", "off by, days", "9 in 10 within", "range, days", "other off")
    print(f"| {' | '.join(columns)} |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for judged in JUDGES:
        for checks in (0, 1, 3, 10):
            days, wide, other = ready_date_errors(judged, checks, range(seasons))
            print(
                f"| {judged} | {checks} | {np.median(days):.2f} | {np.quantile(days, 0.9):.2f} "
                f"| {np.median(wide):.2f} | {np.median(other):.2f} |"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
