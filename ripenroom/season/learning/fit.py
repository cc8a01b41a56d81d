"""From a book's checks to what they taught."""

import threading
from collections.abc import Hashable, Sequence
from dataclasses import replace

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.learning.likelihood_cache import LikelihoodCache, Point
from ripenroom.science.learning.posterior import Posterior, learn
from ripenroom.season.kinds import CropKind
from ripenroom.season.learned import Learned
from ripenroom.season.learning.input import LearningInput, learning_input
from ripenroom.season.learning.report import reported
from ripenroom.season.learning.warm_start import WarmStart
from ripenroom.season.moments import to_hours
from ripenroom.season.state import SeasonState


def fit(state: SeasonState, cancel: threading.Event | None = None) -> Learned:
    """What the checks of a book taught, as on ``now``.

    Pure, and safe in a thread of its own. What was learned before only makes it faster.
    Raises :class:`~ripenroom.science.learning.posterior.Cancelled` soon after ``cancel`` is set.
    """
    kept = state.learned.kept if state.learned is not None else None
    if not isinstance(kept, WarmStart) or kept.crops is not state.crops or kept.zone != state.zone:
        kept = WarmStart(state.crops, state.zone)
    with kept.projector() as projector:
        lines, travel = projector.travel(state.book, state.now)
        constants = projector.constants
    before = kept.found[0] if kept.found is not None else None
    question = learning_input(state.book, state.now, lines, travel, constants, before)
    at_h = to_hours(state.now)
    if not question.kinds.crop_kinds:
        return Learned(at_h=at_h, unlearnable=question.unlearnable, kept=replace(kept, found=None))
    point, seen = _from(question, kept.found) if kept.found is not None else (None, None)
    posterior = learn(question.farm, point, seen, cancel)
    kept = replace(kept, found=(question, posterior))
    return reported(question, posterior, travel, at_h, kept)


def _from(
    question: LearningInput, before: tuple[LearningInput, Posterior]
) -> tuple[Point, LikelihoodCache]:
    """Where to begin the search, and what was seen of checks that are the same."""
    earlier, posterior = before
    farm, old = question.farm, posterior.farm
    shared = farm.prior()[0]
    crop = _paired(question.kinds.crop_kinds, earlier.kinds.crop_kinds)
    cultivar = _paired(question.kinds.cultivar_keys, earlier.kinds.cultivar_keys)
    for part, was, (here, there) in (
        (farm.crop_rate, old.crop_rate, crop),
        (farm.slope_offset, old.slope_offset, crop),
        (farm.cultivar_rate, old.cultivar_rate, cultivar),
        (farm.log_spread, old.log_spread, cultivar),
    ):
        shared[part.start + here] = posterior.mode.shared[was.start + there]
    age = farm.harvests.age.copy()
    new, there = _paired(question.harvest_ids, earlier.harvest_ids)
    age[new] = posterior.mode.age[there]

    # A record that was not edited is still the same object.
    seen = LikelihoodCache.nothing(question.counted)
    new, there = _paired(
        _counted(question),
        _counted(earlier),
    )
    own, former = farm.checks.harvest[new], old.checks.harvest[there]
    same = (farm.harvests.age[own] == old.harvests.age[former]) & (
        farm.harvests.fruit_sd[own] == old.harvests.fruit_sd[former]
    )
    return Point(shared, age), seen.put(new[same], posterior.look.seen, there[same])


def _counted(question: LearningInput) -> list[tuple[int, CropKind]]:
    """Which record each counted check is, and whose figures it was looked at by."""
    counted = question.checks[: question.counted]
    return [(id(check), question.kind_of[check.batch_id]) for check in counted]


def _paired(new: Sequence[Hashable], old: Sequence[Hashable]) -> tuple[Indices, Indices]:
    """Where things are, of those that are in both."""
    was = {key: n for n, key in enumerate(old)}
    pairs = [(n, was[key]) for n, key in enumerate(new) if key in was]
    here, there = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    return here, there
