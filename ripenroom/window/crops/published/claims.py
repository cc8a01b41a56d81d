"""Published statements beside what the program says of them, in groups with an axis each."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, Source
from ripenroom.records.crop.statement import Asks, Statement
from ripenroom.season.projection import Ranged
from ripenroom.texts import tr
from ripenroom.window.crops.figure_source import sentence, short_citation
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.published.statement_words import (
    GroupQuestion,
    Known,
    asked_of,
    case_words,
    kind_name,
)
from ripenroom.wording.names import begun

_NICE = (1.0, 2.0, 5.0, 10.0)
_AIR = 0.05
"""Of an axis, what is left free beside its outermost number."""

_LEAST_SHARE = 0.5
"""An axis of numbers above 0 begins at 0 unless the least is more than this part of the most."""


@dataclass(frozen=True, slots=True)
class Scale:
    """From ``least`` to ``most``; by logarithm (both above 0) or straight."""

    least: float
    most: float
    log: bool = False

    @classmethod
    def over(cls, values: Iterable[float]) -> "Scale":
        """A straight axis that holds all values; infinite and nan do not count."""
        known = [value for value in values if math.isfinite(value)] or [0.0]
        least, most = min(known), max(known)
        if 0.0 <= least <= _LEAST_SHARE * most:
            return cls(0.0, most * (1.0 + _AIR))
        air = max(2.0 * _AIR * (most - least), _AIR * abs(most), 0.1)
        return cls(least - air, most + air)

    @classmethod
    def by_logarithm(cls, values: Iterable[float], least: float) -> "Scale":
        """A logarithmic axis that holds all values; what is below ``least`` stands at its end."""
        known = [value for value in values if math.isfinite(value) and value >= least]
        low, high = min(known, default=least), max(known, default=10.0 * least)
        air = (max(high / low, 2.0)) ** _AIR
        return cls(low / air, high * air, log=True)

    def at(self, value: float) -> float:
        """The place of a number as a share of the axis, 0 to 1; beyond its ends it stands there."""
        if not self.log:
            share = (value - self.least) / (self.most - self.least)
        elif value <= self.least:
            return 0.0
        else:
            share = math.log(value / self.least) / math.log(self.most / self.least)
        return min(max(share, 0.0), 1.0)

    def ticks(self, most: int) -> list[float]:
        """At most so many round numbers on the axis, but two where it has as many."""
        return self._decades(most) if self.log else self._steps(most)

    def _decades(self, most: int) -> list[float]:
        first, last = math.floor(math.log10(self.least)), math.ceil(math.log10(self.most))
        nice: list[float] = []
        for digits in (_NICE[:3], (1.0, 3.0), _NICE[:1]):
            nice = [digit * 10.0**n for n in range(first, last + 1) for digit in digits]
            nice = [tick for tick in nice if self.least <= tick <= self.most]
            if len(nice) <= most:
                break
        return nice

    def _steps(self, most: int) -> list[float]:
        rough = (self.most - self.least) / max(most, 1)
        power = 10.0 ** math.floor(math.log10(rough))
        step = next(nice * power for nice in _NICE if nice * power >= rough * (1.0 - 1e-9))
        first, last = math.ceil(self.least / step), math.floor(self.most / step)
        return [n * step for n in range(first, last + 1)]


_SHORTEST_DAYS = 0.5


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement as it is shown.

    ``low`` to ``high`` is published, -inf and inf where it is open, ``rounded`` what its ends may
    have been rounded from; ``said`` is low, middle and high of what the program says, nan where it
    says never; all in the units that are shown.

    ``case``, ``source``, ``published`` and ``answer`` are these in few words, ``told`` is all of
    it in sentences.
    """

    case: str
    source: str
    low: float
    high: float
    rounded: tuple[float, float]
    said: tuple[float, float, float]
    published: str
    answer: str
    told: str
    missed: bool


@dataclass(frozen=True, slots=True)
class ClaimGroup:
    """Statements that ask the same."""

    title: str
    scale: Scale
    claims: tuple[Claim, ...]

    @property
    def missed(self) -> "ClaimGroup":
        """The same with only what is missed."""
        return ClaimGroup(self.title, self.scale, tuple(c for c in self.claims if c.missed))


def claim_groups(
    crop: CropProfile,
    statements: Sequence[Statement],
    said: Ranged,
    units: Units,
    known: Known,
) -> list[ClaimGroup]:
    """All statements in groups, those of one case beside each other.

    ``said`` is what the program says of them, in their order and units; ``known`` are the figures
    of the crop's profile.
    """
    claims: dict[str, list[tuple[tuple[object, ...], Claim]]] = {}
    asked: dict[str, GroupQuestion] = {}
    columns = zip(said.low.tolist(), said.mid.tolist(), said.high.tolist(), strict=True)
    for one, ends in sorted(
        zip(statements, columns, strict=True), key=lambda pair: _group_order(pair[0])
    ):
        what = asked_of(one, crop, units, known)
        asked.setdefault(what.title, what)
        claim = _claim(one, ends, what, crop, units)
        claims.setdefault(what.title, []).append((_case_order(one), claim))
    found = {
        title: tuple(claim for _, claim in sorted(some, key=lambda pair: pair[0]))
        for title, some in claims.items()
    }
    days = _days_scale(found[title] for title, what in asked.items() if what.is_days)
    return [
        ClaimGroup(title, _scale(asked[title], some, days), some) for title, some in found.items()
    ]


def _group_order(statement: Statement) -> tuple[object, ...]:
    is_times = statement.times_at_c is not None
    order = list(Asks).index(statement.asks)
    return statement.asks is Asks.FIGURE, is_times, order, statement.figure


def _case_order(statement: Statement) -> tuple[object, ...]:
    """From hard to ready fruit, then from cold to warm, then the shortest."""
    start = statement.start
    begun_at = -1.0 if start.feel is None else float(start.feel)
    stays = tuple(stay.celsius for stay in reversed(statement.stays))
    return start.ready, begun_at, -(start.at_n or 0.0), stays, statement.group, statement.middle


def _claim(
    one: Statement,
    ends: tuple[float, float, float],
    asked: GroupQuestion,
    crop: CropProfile,
    units: Units,
) -> Claim:
    low, mid, high = ends
    missed = not one.meets(low, high) or (one.asks is Asks.FIGURE and math.isnan(mid))
    case = case_words(one, crop, units)
    source = _source(one, crop)
    kind = kind_name(one.kind)
    published = asked.range_words(one, units)
    answer = asked.said_words(low, mid, high, units)
    parts = [
        f"{asked.title}. {case}." if case else f"{asked.title}.",
        tr("Published: {published}. The program says: {said}.").format(
            published=published, said=answer
        ),
        _missed(one, ends) if missed else _met(one, ends),
        sentence(f"{begun(kind)}: {source.citation}" if source else begun(kind)),
        sentence(begun(one.note)) if one.note else "",
    ]
    who = short_citation(source.citation) if source else one.source
    return Claim(
        case=case,
        source=f"{who} · {kind}",
        low=-math.inf if one.low is None else asked.read(one.low),
        high=math.inf if one.high is None else asked.read(one.high),
        rounded=_rounded(one, asked),
        said=(asked.read(low), asked.read(mid), asked.read(high)),
        published=published,
        answer=answer,
        told=" ".join(part for part in parts if part),
        missed=missed,
    )


def _rounded(one: Statement, asked: GroupQuestion) -> tuple[float, float]:
    """The widest interval that was rounded; of an open one, what lies around its only end."""
    least, most = ((one.low, one.high) if one.low is not None and one.high is not None
                   else (one.middle, one.middle))  # fmt: skip
    return asked.read(least - one.rounding), asked.read(most + one.rounding)


def _met(one: Statement, ends: tuple[float, float, float]) -> str:
    """How what the program says meets the statement."""
    if replace(one, rounding=0.0).meets(ends[0], ends[2]):
        return tr("They agree.")
    return tr("They agree within its rounding.")


def _missed(one: Statement, ends: tuple[float, float, float]) -> str:
    """How what the program says misses the statement."""
    if math.isnan(ends[1]):
        return tr("Missed.")
    above = one.high is not None and ends[0] > one.high
    if one.asks in (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.INJURY, Asks.MARK):
        if above:
            return tr("Missed: longer than published.")
        return tr("Missed: shorter than published.")
    if above:
        return tr("Missed: higher than published.")
    return tr("Missed: lower than published.")


def _source(one: Statement, crop: CropProfile) -> Source | None:
    """Who says so; a season's own version of a crop need not list all of its sources."""
    shipped = shipped_profiles().get(crop.key)
    listed = shipped.sources if shipped else {}
    return crop.sources.get(one.source) or listed.get(one.source)


def _numbers(claims: Iterable[Claim]) -> list[float]:
    return [value for claim in claims for value in (claim.low, claim.high, *claim.said)]


def _days_scale(groups: Iterable[Iterable[Claim]]) -> Scale:
    values = [value for claims in groups for value in _numbers(claims)]
    return Scale.by_logarithm(values, _SHORTEST_DAYS)


def _scale(asked: GroupQuestion, claims: tuple[Claim, ...], days: Scale) -> Scale:
    if asked.is_days:
        return days
    return Scale(0.0, 100.0) if asked.is_share else Scale.over(_numbers(claims))
