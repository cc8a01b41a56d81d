"""The types of a plan: its lines, market days and broken pins; nothing is worked out here."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from ripenroom.planning.evaluate import PlanOutcome
from ripenroom.records.market import ExpectedPick
from ripenroom.season.projection import Supply


class PlannedMove(NamedTuple):
    """Crates come to a place at a time ahead."""

    at: datetime
    place_id: str


@dataclass(frozen=True, slots=True)
class PlannedItinerary:
    """Crates of one batch that go one way; ``fruit`` is how many fruit they hold.

    They leave ``from_place_id``, where they are now, and make all of ``steps``, in order: moves
    that the plan proposes, or that are written down for later. ``pull_at`` and ``to_place_id``
    are those of the last step; without one the crates stay, and ``pull_at`` is None. They are sold
    on the market day. Without a market day they are left to themselves; without a place to go to
    either, the plan gives them up, and they are cleared away as soon as their room is needed.
    ``expected_ready_share`` is that of the fruit at the market, within its buyers' days;
    ``expected_value_minor`` is its part of what the market pays, as a mean over sampled truths.

    A line of ``second_grade`` is sold for pulp or freezing on the evening ``pull_at`` and goes to
    no place and no market day; its share is what is ripe by then or past for two days at most.
    With a ``pin_id`` the line follows that pin; ``packed`` crates stand packed. With an
    ``expected_pick_id`` the fruit is not picked yet: ``batch_id`` is "", and ``from_place_id`` is
    where the pick will be put.
    """

    batch_id: str
    crates: int
    from_place_id: str
    pull_at: datetime | None
    to_place_id: str | None
    market_day_id: str | None
    expected_ready_share: float
    expected_value_minor: float
    fruit: float = 0.0
    steps: tuple[PlannedMove, ...] = ()
    pin_id: str | None = None
    packed: bool = False
    second_grade: bool = False
    expected_pick_id: str | None = None

    @property
    def kept(self) -> bool:
        """Whether the crates are kept for a market day that is not entered yet; the share is then
        that which can be sold on the best day after the last one that is."""
        nowhere = self.market_day_id is None and not self.second_grade
        return nowhere and self.to_place_id is not None and self.expected_ready_share > 0.0

    def next_step(self) -> "PlannedItinerary":
        """The same line as if it ended with its first step: what is to be done first."""
        if len(self.steps) < (1 if self.second_grade else 2):
            return self
        first = self.steps[0]
        return replace(
            self,
            pull_at=first.at,
            to_place_id=first.place_id,
            steps=self.steps[:1],
            second_grade=False,
        )


def as_one(lines: Sequence[PlannedItinerary]) -> PlannedItinerary:
    """Lines of one batch that go the same next way, as one line with all of their crates: the first
    that follows a pin, else the first."""
    if len(lines) == 1:
        return lines[0]
    first = next((line for line in lines if line.pin_id is not None), lines[0])
    return replace(
        first,
        crates=sum(line.crates for line in lines),
        fruit=sum(line.fruit for line in lines),
    )


class LikelyFruit(NamedTuple):
    """An expected number of fruit and the range around it that holds 80 % of sampled truths."""

    low: float
    mid: float
    high: float


class CountRange(NamedTuple):
    """About how many fruit, and the range that should hold four times in five."""

    low: int
    mid: int
    high: int


def roughly(count: float) -> int:
    """A number as one says it who is not sure of it: 31 as 30, 187 as 190."""
    step = 1 if count < 20 else 5 if count < 100 else 10 ** (len(str(int(count))) - 2)
    return step * round(count / step)


_Z_80 = 1.2816
"""Standard deviations to either side that hold 80 % of a normal distribution."""


def likely_range(mid: int, sd: float) -> CountRange:
    """So many fruit, and 80 % of what it may be, as one says it who is not sure."""
    low, high = max(mid - _Z_80 * sd, 0.0), mid + _Z_80 * sd
    return CountRange(roughly(round(low)), roughly(mid), roughly(round(high)))


@dataclass(frozen=True, slots=True)
class LikelyPick:
    """A pick that is likely, its ``count`` as one says it, and standard deviations of that (fruit)
    by what they come from: ``of_day`` differs from pick to pick; ``of_rate``, because the picks so
    far were few themselves, and ``of_end``, because nobody knows how the harvest goes on and when
    it ends, move all picks alike. It goes by the crop's last ``pick_days`` days of picking, or,
    with 0 of them, by what hangs in its rows. In it is fruit of cultivars that were never picked so
    far, ``not_begun`` by id.
    """

    pick: ExpectedPick
    count: CountRange
    of_day: float
    of_rate: float
    of_end: float
    pick_days: int
    not_begun: tuple[str, ...] = ()

    @property
    def from_rows(self) -> bool:
        """Whether it goes by what hangs in its rows."""
        return not self.pick_days


@dataclass(frozen=True, slots=True)
class LikelyCrop:
    """What is likely of a crop in all: ``count`` fruit from the ``first`` to the ``last`` day.

    It goes by the crop's last ``pick_days`` days of picking (0: by none), and if ``by_rows`` by
    what hangs there. In it is fruit of cultivars that were never picked so far, ``not_begun`` by
    id.
    """

    crop: str
    first: date
    last: date
    count: CountRange
    pick_days: int
    by_rows: bool
    not_begun: tuple[str, ...]


class Risk(StrEnum):
    """How likely a market day gets clearly less than it wants, even as planned."""

    LITTLE = "little"
    SOME = "some"
    GREAT = "great"


_SOME_RISK, _GREAT_RISK = 0.1, 0.5


@dataclass(frozen=True, slots=True)
class PlannedMarket:
    """What a plan brings of one crop to one market day ahead.

    ``wanted`` fruit are wanted, ``planned`` are brought, and of these ``ready`` are expected to be
    saleable. ``shortage`` is by how far the expected number is under what is wanted. ``risk`` is
    the share of truths in which less than 80 % of the wanted fruit is saleable. In none of these
    are the ``likely`` fruit: so many would be saleable of what the plan means to bring of picks
    that are only likely.
    """

    market_day_id: str
    crop: str
    wanted: int
    planned: float
    ready: LikelyFruit
    shortage: float
    risk: float
    likely: float = 0.0

    @property
    def supply(self) -> Supply:
        """What the plan brings, as what will be ready of it."""
        ready = self.ready
        return Supply(self.market_day_id, self.crop, self.wanted, ready.mid, ready.low, ready.high)

    @property
    def at_risk(self) -> Risk:
        """The risk that less than four fifths of what is wanted will be ready."""
        if self.risk < _SOME_RISK:
            return Risk.LITTLE
        return Risk.SOME if self.risk < _GREAT_RISK else Risk.GREAT


class BrokenPinReason(StrEnum):
    """Why a pin is no longer possible."""

    BATCH_GONE = "batch gone"
    FEWER_CRATES = "fewer crates"
    MARKET_OVER = "market over"
    PLACE_GONE = "place gone"
    PULL_OVER = "pull over"
    MOVED_LATER = "moved later"
    PULL_AFTER_MARKET = "pull after market"


@dataclass(frozen=True, slots=True)
class BrokenPin:
    """A pin that the plan cannot keep to, and leaves out."""

    pin_id: str
    reason: BrokenPinReason


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do with every crate, and how good that is; values in minor units of the currency.

    ``outcome`` is what becomes of the plan over sampled truths. It reckons with ``likely`` picks,
    which are in none of its figures but ``with_likely``: what becomes of it if they come. That is
    what those of the simple rules are with the same fruit, so that both can be compared. ``gap`` is
    how far it is under what no plan can exceed, as a share, by the expected worth that plans are
    found by; that is too hopeful to be told as money.
    ``markets`` are by day and crop. The plan was made as on ``made_at``; ``broken_pins`` it leaves
    out. The lines of likely picks stand in ``reckoned_lines``, for the next plan to keep to. One
    made ``at_once`` looked at few itineraries, and its ``gap`` is to what these can reach: a better
    one follows, and nothing is to be kept to.
    """

    lines: tuple[PlannedItinerary, ...]
    gap: float
    outcome: PlanOutcome
    with_likely: PlanOutcome
    first_in_first_out: PlanOutcome
    first_expired_first_out: PlanOutcome
    as_it_is: PlanOutcome
    markets: tuple[PlannedMarket, ...]
    made_at: datetime
    broken_pins: tuple[BrokenPin, ...] = ()
    likely: tuple[ExpectedPick, ...] = ()
    reckoned_lines: tuple[PlannedItinerary, ...] = ()
    at_once: bool = False


@dataclass(frozen=True, slots=True)
class PinCost:
    """What pins would cost, about: the worth of the best plan without them, and how much less it
    is with them (minor units), never below 0. ``fruit`` is how many fewer are expected to be sold.

    ``moves`` are the lines, other than those of pins, that would change; ``broken_pins`` are pins
    that cannot be followed, and then cost nothing.
    """

    best_minor: float
    cost_minor: float
    fruit: float
    moves: tuple[PlannedItinerary, ...]
    broken_pins: tuple[BrokenPin, ...] = ()


@dataclass(frozen=True, slots=True)
class Clearing:
    """So many ``crates`` of a batch's ``lines`` are cleared to make room: past since a time, or
    (None) given up by the plan for what is worth more; a ``rest`` is so little that carrying it
    out of the way is not worth it."""

    lines: "tuple[PlannedItinerary, ...]"
    crates: int
    past_since: datetime | None
    rest: bool = False

    @property
    def line(self) -> "PlannedItinerary":
        """The lines as one."""
        return as_one(self.lines)


@dataclass(frozen=True, slots=True)
class Carrying:
    """The next move of a line, of several of one batch that go the same way, or of several that
    are swapped. Without ``room`` the place that it goes to is full whatever goes out: it is pinned
    or written down, and comes all the same."""

    lines: "tuple[PlannedItinerary, ...]"
    room: bool = True

    @property
    def is_swap(self) -> bool:
        """Whether crates change places with each other."""
        ways = {(line.from_place_id, line.next_step().to_place_id) for line in self.lines}
        return len(ways) > 1


@dataclass(frozen=True, slots=True)
class Evening:
    """What is done on a day, in its order: clear first, then carry."""

    on: date
    clear: tuple[Clearing, ...]
    carry: tuple[Carrying, ...]


class StayReason(StrEnum):
    """Why crates stay where they are tonight."""

    MARKET = "market"
    MOVES_LATER = "moves later"
    SECOND_GRADE = "second grade"
    KEPT = "kept"
    HOPELESS = "hopeless"
    MAY_NOT_RIPEN = "may not ripen"
    PAST = "past"
    NO_MARKET = "no market"
    NOT_READY = "not ready"
    TOO_LATE = "too late"
    NO_BUYER = "no buyer"


@dataclass(frozen=True, slots=True)
class Staying:
    """Crates of a line that stay, and why.

    ``until`` is when that ends: the market day, the next move, the sale for second grade; of what
    no one takes when it is past, of what is past since when, of what may not ripen when to squeeze
    it again. None where it never does. Hopeless is what will never ripen anywhere. Of what no one
    takes no market day ahead wants the crop, or it is not ready by the last one, or past before the
    first. ``market_day_id`` is the market day by which it is not ready: of what is kept, one that
    gets too little, or else the last.
    """

    line: "PlannedItinerary"
    crates: int
    reason: StayReason
    until: datetime | None = None
    market_day_id: str | None = None


@dataclass(frozen=True, slots=True)
class Tonight:
    """The next evenings, mostly one, and what stays by then, in the order of places and codes."""

    evenings: tuple[Evening, ...]
    stays: tuple[Staying, ...]
