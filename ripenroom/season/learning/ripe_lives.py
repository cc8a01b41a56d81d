"""What packings of a book teach of how long ripe fruit of its crops lasts."""

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.ages import Bands
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.learning.batch_ages import fruit_sds
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.learning.ripe_life import LIVES_KNOWN, OWN_LIFE_SD, RipeFruit, ripe_life
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.softening import Floats
from ripenroom.science.sorted_harvests import SortedHarvests
from ripenroom.science.spread import TAIL_80
from ripenroom.season.belief import LifeShift
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learned import Estimate, LearnedLife
from ripenroom.season.learning.input import LearningInput
from ripenroom.season.learning.populations import fit_from_age

_LEAST_AGE = 1e-3
"""Fruit ages by so much at least in a ripe life, in the coldest room."""


def ripe_lives(
    question: LearningInput,
    posterior: Posterior,
    travel: BatchAgeing,
    constants: ConstantsOfCrops,
) -> dict[CropKind, tuple[LifeShift, LearnedLife]]:
    """Of each kind whose ripe fruit packings that count, or lessons, tell of: by how much longer it
    lasts than the book says, and for how many days."""
    table = question.rows.looked_at
    picking = np.array(
        [
            n
            for n in np.flatnonzero(table.picks_over[: question.counted]).tolist()
            if any(table.checks[n].sorted_counts[1:])
        ],
        dtype=np.intp,
    )
    if not picking.size and not any(question.kinds.life_taught_by):
        return {}
    of_check = question.farm.cultivars.crop[
        question.farm.harvests.cultivar[question.farm.checks.harvest]
    ]
    found = {}
    for n, kind in enumerate(question.kinds.crop_kinds):
        crop = constants[kind]
        before, before_sd = question.kinds.ripe_life[n]
        own = picking[of_check[picking] == n]
        taught_by = question.kinds.life_taught_by[n]
        if not before_sd or not (own.size or taught_by):
            continue
        fruit = _ripe_fruit(question, posterior, travel, crop, own)
        mean, sd = ripe_life(fruit, before, before_sd, crop.ready_sd)
        low, mid, high, book = crop.ripe_life_days * np.exp(
            [mean - TAIL_80 * sd, mean, mean + TAIL_80 * sd, before]
        )
        found[kind] = (
            LifeShift(mean, sd, before, before_sd),
            LearnedLife(
                crop=kind.crop,
                group=kind.group,
                days=Estimate(float(low), float(mid), float(high)),
                book_days=float(book),
                reference_c=crop.ripe_life_c,
                fruit=int(fruit.good.sum() + fruit.past.sum()),
                taught_by=taught_by,
            ),
        )
    return found


def _ripe_fruit(
    question: LearningInput,
    posterior: Posterior,
    travel: BatchAgeing,
    crop: CropConstants,
    own: Indices,
) -> RipeFruit:
    """What the packings of one crop found, beside what is believed of the fruit's ages then."""
    farm, checks = question.farm, [question.checks[n] for n in own.tolist()]
    firm, good, soft, gone = np.array(
        [check.sorted_counts for check in checks], dtype=float
    ).reshape(-1, 4).T  # fmt: skip
    harvest, slope = farm.checks.harvest[own], farm.checks.slope[own]
    cultivar, of = farm.harvests.cultivar[harvest], posterior.arrow.covariances[harvest]
    shared = posterior.mean.shared[farm.own()[cultivar]]
    log_rate = shared[:, 0] + slope * shared[:, 1]
    gain = crop.rate_per_day * farm.checks.days[own] * np.exp(log_rate)
    rate_rate = of[:, 1, 1] + slope * (2.0 * of[:, 1, 2] + slope * of[:, 2, 2])
    age_rate = of[:, 0, 1] + slope * of[:, 0, 2]
    with_rate = age_rate + gain * rate_rate
    variance = of[:, 0, 0] + gain * (age_rate + with_rate)
    ripens = with_odds_times(question.begins.ripens[harvest], np.exp(_able(posterior, own)))
    able = np.maximum(ripens, 0.02)
    line, at_h = question.line_of_check[own], question.at_h[own]
    gained, own_sd = _gained(travel, crop, line, at_h)
    fit_from = [fit_from_age(crop, check.eat_within_days or 0.0)[0] for check in checks]
    every = np.ones(own.size)
    return RipeFruit(
        good=good,
        past=soft + gone,
        fit_from=np.array(fit_from, dtype=float),
        ready_age=crop.ready_age * every,
        too_soft_age=crop.too_soft_age * every,
        age=posterior.mean.age[harvest] + gain,
        age_sd=np.sqrt(np.maximum(variance - with_rate**2 / rate_rate, 0.0)),
        per_rate=with_rate / rate_rate,
        rate_sd=np.sqrt(rate_rate),
        cultivar=cultivar,
        gained=gained * np.exp(log_rate)[:, None],
        own_sd=own_sd,
        judgement_sd=crop.judgement_sd * every,
        not_firm=np.clip((good + soft + gone) / ((firm + good + soft + gone) * able), 0.02, 1.0),
        fruit_sd=fruit_sds(posterior)[harvest],
        bands=_bands_of(question.begins, harvest, travel.batches.ages.of(question.line[harvest])),
    )


def _able(posterior: Posterior, own: Indices) -> Floats:
    """By how much the log of the odds that a fruit can ripen is up, at some checks."""
    farm = posterior.farm
    crop = farm.cultivars.crop[farm.harvests.cultivar[farm.checks.harvest[own]]]
    return np.asarray(farm.crops.able_sd[crop] * posterior.mean.shared[farm.able_offset][crop])


def _bands_of(begins: SortedHarvests, harvests: Indices, as_picked: Bands) -> Bands:
    """How the fruit of some harvests differ: as they were picked, or as picking over left them."""
    sorted_out = [
        (at, own.bands)
        for at, own in enumerate(begins.believed[n] for n in harvests.tolist())
        if own is not None
    ]
    if not sorted_out:
        return as_picked
    most = max(as_picked.part.shape[1], *(bands.part.shape[1] for _, bands in sorted_out))
    lines = np.array([at for at, _ in sorted_out], dtype=np.intp)
    own = joined([bands.with_room_for(most) for _, bands in sorted_out])
    return as_picked.with_room_for(most).put(lines, own)


def _gained(
    travel: BatchAgeing, crop: CropConstants, line: Indices, at_h: Floats
) -> tuple[Floats, Floats]:
    """The age that each line's fruit gained by its hour, by the book, in the ripe lives
    :data:`LIVES_KNOWN` before, (n, 3); and the sd of its log that is its own.

    What is not known of how ripe life depends on temperature is taken for the batch's own.
    """
    lives = travel.limits.ripe_life

    def by(clock: ClockAdvance, times: float) -> Floats:
        used = clock.at_single(line, at_h) - times * lives.days[line]
        then_h = clock.when_single(line, np.maximum(used, 0.0))
        days = travel.ageing.at_single(line, at_h) - travel.ageing.at_single(line, then_h)
        # What was not over yet since the pick would have gone by at the usual temperature.
        return crop.rate_per_day * (days + np.maximum(-used, 0.0)) + _LEAST_AGE

    gained = np.column_stack([by(lives.usual, times) for times in LIVES_KNOWN.tolist()])
    fast, slow = by(lives.clocks[0], 1.0), by(lives.clocks[-1], 1.0)
    whole_sd = np.log(slow / fast) / (2.0 * TAIL_80)
    by_warmth = np.sqrt(np.maximum(np.square(whole_sd) - crop.ripe_life_sd**2, 0.0))
    return gained, np.hypot(OWN_LIFE_SD, by_warmth)
