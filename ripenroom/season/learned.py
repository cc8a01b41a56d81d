"""What checks taught about a season's fruit, ready to be worded by the window."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from ripenroom.season.belief import LearnedPosterior, alike


class Estimate(NamedTuple):
    """A best estimate and the 80 % range around it."""

    low: float
    mid: float
    high: float


class CheckKind(StrEnum):
    """How fruit was judged."""

    FEEL = "feel"
    READINGS = "readings"


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """How fast fruit of a cultivar softens, as a factor of its crop profile's speed, or of that of
    its ``group`` of the crop.

    ``cultivar_id`` is None for fruit of the crop whose cultivar was not noted. ``book_low`` to
    ``book_high`` is the 80 % range of the factor, around ``book``, before any check of this season:
    from the profile, the cultivar's own factor and ``taught_by``, the names of the seasons whose
    lessons went in. ``spread`` is how much fruit of a batch differs, as a factor of the usual.
    ``checks`` counted for this cultivar, of ``batches`` batches. ``log_rate`` is the natural
    logarithm of the factor, with its standard deviation; ``book_log_rate`` likewise. To have them
    as of the crop's own speed, add ``group_log_rate``.
    """

    crop: str
    cultivar_id: str | None
    factor: Estimate
    book: float
    book_low: float
    book_high: float
    spread: Estimate
    checks: int
    batches: int
    taught_by: tuple[str, ...]
    log_rate: float
    log_rate_sd: float
    book_log_rate: float
    book_log_rate_sd: float
    group: str | None = None
    group_log_rate: float = 0.0


@dataclass(frozen=True, slots=True)
class LearnedShare:
    """The share of a crop's fruit, or of that of its ``group``, that can ripen, in all batches that
    were checked as they were picked; ``book``, what it was before any check."""

    crop: str
    group: str | None
    ripens: Estimate
    book: float


@dataclass(frozen=True, slots=True)
class LearnedLife:
    """How many ``days`` ripe fruit of a crop, or of its ``group``, stays good at ``reference_c``
    (C), as ``fruit`` that packings found ripe tell of it; ``book_days`` before any check of
    this season, by the profile and by the seasons ``taught_by``."""

    crop: str
    group: str | None
    days: Estimate
    book_days: float
    reference_c: float
    fruit: int
    taught_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LearnedBatch:
    """What is known of a batch that was checked; ages are physiological, dimensionless.

    ``mean_age`` at pick and the sd of the doubt about it. ``fruit_sd`` is how its fruit differ.
    """

    batch_id: str
    mean_age: float
    mean_age_sd: float
    fruit_sd: float
    checks: int


@dataclass(frozen=True, slots=True)
class CheckFit:
    """A check beside what all other checks made one expect of it.

    Of readings, ``observed`` and ``expected`` are the mean firmness (N). Of hand feel they are the
    share of the fruit that felt ``from_feel`` or softer (a number in
    :data:`~ripenroom.records.batch.FEELS`), the feel at which the check tells most. ``z`` is how
    many sds the check is off, positive where fruit was softer than expected. ``pull`` is how far
    the check moves the natural logarithm of its cultivar's rate; of a check that is not
    ``counted``, how far it would. ``ahead_days`` is how many days, at the warmth it was in then,
    the fruit was further than expected.
    """

    check_id: str
    batch_id: str
    kind: CheckKind
    counted: bool
    from_feel: int | None
    observed: float
    expected: Estimate
    z: float
    pull: float
    ahead_days: float

    @property
    def surprising(self) -> bool:
        """Whether the check contradicts everything else: more than three sds off."""
        return abs(self.z) > SURPRISING_Z


SURPRISING_Z = 3.0
"""So many sds off, a check is asked about."""


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned from the checks of a book, as on ``at_h`` (h).

    ``rates`` has every cultivar of the crops that were checked or that lessons tell about,
    ``shares`` the crops of which checks tell how much can ripen, ``lives`` those of which packings
    or lessons tell how long ripe fruit lasts.
    ``batches`` and ``checks`` are by id; of batches only those with a check that counts, and theirs
    that were split from one harvest. ``surprising`` are ids of counted checks, the most surprising
    first; ``at_odds`` has those that are not counted as well, each with whether its fruit was
    softer than expected.
    ``unlearnable`` are ids of checks of which nothing can be learned: of a batch that waits
    nowhere, of an unknown crop or one of which only dates are published, or before the pick.
    ``belief`` is the same as projections ask for it, ``kept`` what the next fit goes on
    from, which nothing else looks into.
    """

    at_h: float
    rates: tuple[LearnedRate, ...] = ()
    shares: tuple[LearnedShare, ...] = ()
    lives: tuple[LearnedLife, ...] = ()
    batches: Mapping[str, LearnedBatch] = field(default_factory=lambda: MappingProxyType({}))
    checks: Mapping[str, CheckFit] = field(default_factory=lambda: MappingProxyType({}))
    surprising: tuple[str, ...] = ()
    at_odds: frozenset[tuple[str, bool]] = frozenset()
    unlearnable: tuple[str, ...] = ()
    belief: LearnedPosterior | None = None
    kept: object = None

    def tells_nothing_new(self, before: "Learned | None") -> bool:
        """Whether all that it tells was known before: the same checks of the same fruit, which
        stand to all others as they did, and the same figures."""
        if before is None or before.belief is None or self.belief is None:
            return False
        return _told_of(self) == _told_of(before) and alike(self.belief, before.belief)

    def rate_of(self, crop: str, cultivar_id: str | None) -> LearnedRate | None:
        """The rate of a cultivar (or of fruit without one); None where nothing is known of it."""
        for rate in self.rates:
            if (rate.crop, rate.cultivar_id) == (crop, cultivar_id):
                return rate
        return None


def _told_of(learned: Learned) -> object:
    """Of what something was learned, and from how much."""
    rates = {(r.crop, r.cultivar_id, r.checks, r.batches, r.taught_by) for r in learned.rates}
    checks = {*learned.checks}, {*learned.unlearnable}, learned.at_odds
    return rates, {*learned.batches}, checks
