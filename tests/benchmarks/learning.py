"""Learning from checks: everything anew, one check more, and a general-purpose optimiser."""

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
from scipy.optimize import minimize

from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.learning.model import FarmModel
from ripenroom.science.learning.posterior import learn
from ripenroom.science.softening import Floats
from ripenroom.season.learned import Learned
from ripenroom.season.learning.fit import WarmStart, fit
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.benchmarks.seasons import large_book
from tests.benchmarks.timing import median_ms, say

BATCHES, CHECKS_EACH = 2_000, 3
OPTIMISED = 60
"""Batches that the general-purpose optimiser is given: with all of them it would take hours."""


def checked_book(batches: int, each: int = CHECKS_EACH, seed: int = 1) -> Book:
    """A large season whose batches were each checked by hand a few times; fruit softens 1.3 times
    as fast as the book has it."""
    book = large_book(batches, seed)
    now = book.season.practice_now
    assert now is not None
    projector = Projector(shipped_profiles(), ZoneInfo(book.season.zone))
    lines, travel = projector.travel(book, now)
    rng = np.random.default_rng(seed)
    checks: dict[str, Check] = {}
    number = len(lines.ids)
    picked_h = travel.batches.picked_h
    share = np.sort(rng.uniform(0.05, 1.0, (number, each)), axis=1)
    at_h = picked_h[:, None] + share * (to_hours(now) - picked_h)[:, None]
    gained = 1.3 * travel.batches.rate_per_day[:, None] * travel.ageing.at(at_h)
    mean = rng.normal(travel.batches.mean_age, travel.batches.doubt_sd)[:, None] + gained
    for line, batch_id in enumerate(lines.ids):
        crop = projector.constants[lines.kinds[lines.kind[line]]]
        for which in range(each):
            off = rng.normal(0.0, crop.judgement_sd)
            ages = rng.normal(mean[line, which] + off, travel.batches.fruit_sd[line], 20)
            counts = np.bincount(np.searchsorted(crop.feel_edges, ages), minlength=5).tolist()
            hours = float(at_h[line, which] - picked_h[line])
            check = Check(
                id=f"{batch_id}-{which}",
                batch_id=batch_id,
                at=book.batches[batch_id].picked_at + timedelta(hours=hours),
                feel_counts=tuple(counts),
            )
            checks[check.id] = check
    return replace(book, checks=checks)


def run() -> None:
    """Print the figures."""
    book = checked_book(BATCHES)
    crops, zone = shipped_profiles(), ZoneInfo(book.season.zone)
    now = book.season.practice_now
    assert now is not None
    whole_ms = median_ms(lambda _: fit(SeasonState(book, crops, now, zone)), 5)
    say(f"{BATCHES} batches, {len(book.checks)} checks: anew (aim: 1,000)", f"{whole_ms:.0f} ms")
    start = fit(SeasonState(book, crops, now, zone))
    last: list[Learned] = [start]

    def one_more(number: int) -> None:
        some = list(book.checks.values())[number * 17]
        more = replace(some, id=f"more {number}", at=some.at + timedelta(hours=1))
        last[0] = fit(SeasonState(book.with_changes((more,)), crops, now, zone, last[0]))

    say("  one check more (aim: 50)", f"{median_ms(one_more, 9):.0f} ms")
    projector_ms = median_ms(
        lambda _: Projector(crops, zone, start).outlook(book, now), 5
    ) - median_ms(lambda _: Projector(crops, zone).outlook(book, now), 5)
    say("  what it adds to projecting the season anew", f"{projector_ms:.0f} ms")
    _say_against_optimiser(crops, zone)


def _say_against_optimiser(crops: Mapping[str, CropProfile], zone: ZoneInfo) -> None:
    book = checked_book(OPTIMISED)
    now = book.season.practice_now
    assert now is not None
    found = fit(SeasonState(book, crops, now, zone))
    assert isinstance(found.kept, WarmStart)
    assert found.kept.asked is not None
    farm = found.kept.asked.farm
    ours_ms = median_ms(lambda _: learn(farm), 5)
    begin = time.process_time()
    best = minimize(target(farm), start(farm), method="L-BFGS-B", options={"maxfun": 10**6})
    theirs_ms = (time.process_time() - begin) * 1000.0
    mode = learn(farm).mode
    ahead = best.fun - target(farm)(np.concatenate([mode.shared, mode.age]))
    say(f"{OPTIMISED} batches: mode, means and covariance", f"{ours_ms:.1f} ms")
    say("  scipy.optimize.minimize (L-BFGS-B) to the mode alone", f"{theirs_ms:,.0f} ms")
    say("  times as fast", f"{theirs_ms / ours_ms:,.0f}")
    say("  log posterior that it falls short of ours by", f"{ahead:.2g}")


def start(farm: FarmModel) -> Floats:
    """All unknowns as believed before any check."""
    return np.concatenate([farm.prior()[0], farm.harvests.age])


def target(farm: FarmModel) -> Callable[[Floats], float]:
    """Minus the log posterior of all unknowns in one vector."""
    mean, precision = farm.prior()
    checks, harvests = farm.checks, farm.harvests
    own = farm.own()[harvests.cultivar[checks.harvest]]
    crop = farm.cultivars.crop[harvests.cultivar]
    rate, able_sd = farm.crops.rate[crop], farm.crops.able_sd[crop[checks.harvest]]
    everything = [(kind, numbers, np.arange(numbers.size)) for kind, numbers in checks.kinds]

    def minus_log(unknown: Floats) -> float:
        shared, age = unknown[: farm.shared], unknown[farm.shared :]
        cultivar_rate, slope_offset, log_spread, able_offset = shared[own].T
        x = age[checks.harvest] + rate[checks.harvest] * checks.days * np.exp(
            cultivar_rate + slope_offset * checks.slope
        )
        sd = harvests.fruit_sd[checks.harvest] * np.exp(log_spread)
        able = able_sd * able_offset
        off, aside = shared - mean, (age - harvests.age) / harvests.age_sd
        log = -0.5 * (off @ precision @ off + aside @ aside)
        for kind, numbers, every in everything:
            log += kind.expand(every, x[numbers], sd[numbers], able[numbers]).value.sum()
        return -float(log)

    return minus_log
