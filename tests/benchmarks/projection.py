"""10,000 batches x 60 days: all dates and daily shares, against an ODE solver and bare ndtr."""

import time
from collections.abc import Callable
from contextlib import ExitStack
from datetime import datetime
from unittest.mock import patch
from zoneinfo import ZoneInfo

import numpy as np
from scipy.integrate import solve_ivp
from scipy.special import ndtr

from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.science import past_share, ready, spread
from ripenroom.science.air import ScheduledAir
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.moments import day_starts, to_hours
from ripenroom.season.projector import Projector
from tests.benchmarks.seasons import large_book
from tests.benchmarks.timing import median_ms, say
from tests.outside.equation import softening_rate_n_per_day

BATCHES, DAYS, SOLVED = 10_000, 60, 50
_AT_A_TIME = 15_000


def run() -> None:
    """Print the figures."""
    book = large_book(BATCHES, moved=0.0)
    zone = ZoneInfo(book.season.zone)
    now = book.season.practice_now
    assert now is not None
    projector = Projector(shipped_profiles(), zone)
    days_h = day_starts(now.date(), DAYS, zone)
    say("each batch in one place", "")
    ours_ms = _say_ours(projector, book, now, days_h)
    say("a third of the batches moved once", "")
    _say_ours(projector, large_book(BATCHES), now, days_h)

    one_ms = _solver_ms(projector, book, now)
    say(f"one solve_ivp call of {DAYS} days, mean of {SOLVED}", f"{one_ms:.1f} ms")
    say(
        "  times faster than one call per batch (aim: 20,000)", f"{one_ms * BATCHES / ours_ms:,.0f}"
    )


def _say_ours(projector: Projector, book: Book, now: datetime, days_h: Floats) -> float:
    """Milliseconds for dates and shares, printed beside those of bare ndtr."""
    dates_ms = median_ms(lambda _: projector.outlook(book, now))
    ours_ms = median_ms(lambda _: projector.outlook(book, now).shares(days_h))
    say(f"  {BATCHES} batches: all dates with ranges", f"{dates_ms:.1f} ms")
    say(f"  {BATCHES} batches x {DAYS} days: dates and daily shares", f"{ours_ms:.1f} ms")
    summed = _values_summed(lambda: projector.outlook(book, now).shares(days_h))
    normal = np.random.default_rng(1).standard_normal(_AT_A_TIME)
    bare_ms = median_ms(lambda _: ndtr(normal)) * summed / normal.size
    say(f"  bare ndtr of {summed:,} values: as many as their sums hold", f"{bare_ms:.1f} ms")
    say("  ratio to it (aim: at most 2.5)", f"{ours_ms / bare_ms:.2f}")
    return ours_ms


def _values_summed(job: Callable[[], object]) -> int:
    """How many values of ndtr a job takes: one for each rate and ripe life that a share is summed
    over."""
    values = 0

    def counted(z: Floats, out: Floats | None = None) -> Floats:
        nonlocal values
        values += np.size(z)
        return np.asarray(ndtr(z, out=out))

    with ExitStack() as stack:
        for module in (past_share, ready, spread):
            stack.enter_context(patch.object(module, "ndtr", counted))
        job()
    return values


def _solver_ms(projector: Projector, book: Book, now: datetime) -> float:
    """One batch as two differential equations, pulp temperature and firmness, at 1e-8."""
    outlook = projector.outlook(book, now)
    lines = outlook.lines
    constants = [projector.constants[kind] for kind in lines.kinds]
    begin = time.process_time()
    for line in range(0, SOLVED * (len(lines.ids) // SOLVED), len(lines.ids) // SOLVED):
        crop = constants[lines.kind[line]]
        air = outlook.airs[lines.stays.place[line, -1]]

        def slope(
            hour: float, state: Floats, crop: CropConstants = crop, air: ScheduledAir = air
        ) -> list[float]:
            firmness, pulp_c = state
            rate = crop.rate_per_day * float(crop.response.relative_rate(pulp_c)) / 24.0
            cooling = np.log(2.0) / air.half_cooling_h * (float(air.air_c(hour)) - pulp_c)
            softening = softening_rate_n_per_day(firmness, rate, crop.highest_n, crop.lowest_n)
            return [float(softening), cooling]

        start = float(
            firmness_n_at_age(lines.batches.mean_age[line], crop.highest_n, crop.lowest_n)
        )
        span = (to_hours(now), to_hours(now) + 24.0 * DAYS)
        solve_ivp(slope, span, [start, 22.0], rtol=1e-8, atol=1e-8)
    return (time.process_time() - begin) * 1000.0 / SOLVED
