"""Learns from all checks of a season: records in, what they taught out.

A :class:`WarmStart` carries what the next fit need not work out again; it changes no answer.
"""

import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.learning.check_fit import able_without
from ripenroom.science.learning.posterior import Posterior, learn
from ripenroom.season.learned import Learned
from ripenroom.season.learning.input import LearningInput, learning_input
from ripenroom.season.learning.populations import AbleSoFar
from ripenroom.season.learning.report import able_shifts, reported
from ripenroom.season.learning.ripe_lives import ripe_lives
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class WarmStart:
    """What the next fit can go on from: idle projectors, shared by all fits that followed from one
    another, what was ``asked`` last, and the ``posteriors`` of its rounds."""

    crops: Mapping[str, CropProfile]
    zone: ZoneInfo
    idle: list[Projector] = field(default_factory=list)
    asked: LearningInput | None = None
    posteriors: tuple[Posterior, ...] = ()

    @contextmanager
    def projector(self) -> Iterator[Projector]:
        """A projector that is this fit's alone meanwhile."""
        try:
            projector = self.idle.pop()
        except IndexError:
            projector = Projector(self.crops, self.zone)
        try:
            yield projector
        finally:
            self.idle.append(projector)


_ROUNDS = 3
_STEP_LOG_ODDS = 0.1
"""What picking over left hangs on how much can ripen, and the other way round: each is worked out
from the other until that is the same to within such a step. It is by far less than what is doubted,
and what is worked out holds for all of a step."""


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
    question = learning_input(state.book, state.now, lines, travel, constants, kept.asked)
    at_h = to_hours(state.now)
    if not question.kinds.crop_kinds:
        return Learned(
            at_h=at_h,
            unlearnable=question.unlearnable,
            kept=replace(kept, asked=None, posteriors=()),
        )
    posterior = learn(question.farm, cancel, kept.posteriors)
    rounds = [posterior]
    counted_on = AbleSoFar()
    for _ in range(_ROUNDS if any(question.begins.believed) else 0):
        able = _able_so_far(question, posterior)
        if able == counted_on:
            break
        question = learning_input(state.book, state.now, lines, travel, constants, question, able)
        posterior = learn(question.farm, cancel, (*kept.posteriors, *rounds))
        rounds, counted_on = [*rounds, posterior], able
    kept = replace(kept, asked=question, posteriors=tuple(rounds))
    lives = ripe_lives(question, posterior, travel, constants)
    return reported(question, posterior, travel, lives, at_h, kept)


def _able_so_far(question: LearningInput, posterior: Posterior) -> AbleSoFar:
    of_kind = able_shifts(question, posterior)
    without = np.column_stack(able_without(posterior)).tolist()
    return AbleSoFar(
        {kind: _stepped(own.log_odds) for kind, own in of_kind.items()},
        {
            check.id: (_stepped(mean), _stepped(sd))
            for check, (mean, sd) in zip(question.checks, without, strict=False)
            if check.picks_over
        },
    )


def _stepped(log_odds: float) -> float:
    return _STEP_LOG_ODDS * round(log_odds / _STEP_LOG_ODDS)
