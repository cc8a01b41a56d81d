"""What the program says in the cases that publications speak of, all of them in one projection.

A crate of the fruit is carried along the stays of each statement as an open season would carry it.
Containers cool within minutes, because published trials give the temperature of the fruit's room
and mean that of the fruit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.batch import FEELS, Batch, Move, Treatment
from ripenroom.records.book import Book
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.document import Path as Keys
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.statement import BASE_OF, Asks, Start, Statement, Waits
from ripenroom.records.crop.toml_profile import load_profile_text, profile_of
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.season import SeasonDetails
from ripenroom.science.gated_ageing import GatedAgeing
from ripenroom.science.softening import (
    Floats,
    age_from_firmness_n,
    firmness_n_at_age,
)
from ripenroom.science.spread import TAIL_80, advance_at_quantile, age_at_quantile, ratio_range
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Ranged
from ripenroom.season.projector import Projector
from ripenroom.units import celsius

_PICKED_AT = datetime(2025, 9, 10, 14, tzinfo=UTC)
_ZONE = ZoneInfo("UTC")
_FRUIT = 20
"""Fruit of a crate that was felt: the usual sample of a pick."""

_COOLS_H = 0.1
_MARK_DOUBT = 0.15
"""Doubt (age) about fruit of which its mean firmness is published (an estimate: the standard error
of some twenty fruit)."""

_JUST_READY = 0.1
"""Fruit called ripe has passed its mark by so much (age)."""


@dataclass(frozen=True, slots=True)
class WrittenCrop:
    """A crop, and its profile as it is written."""

    profile: CropProfile
    document: CropDocument

    @classmethod
    def of_text(cls, text: str) -> "WrittenCrop":
        """The crop of a profile file's text; raises as the reader of profiles does."""
        return cls(load_profile_text(text, _NAME), CropDocument(text))

    @classmethod
    def of_document(cls, document: CropDocument) -> "WrittenCrop":
        """The crop of a profile that was read; raises as the reader of profiles does."""
        return cls(profile_of(document, _NAME), document)

    def figure(self, path: Keys) -> tuple[float, float, float]:
        """Low, value and high of the figure at ``path``, in days, newtons, degrees Celsius or its
        own unit; a bare number is all three; nan where there is none."""
        bare = self.document.get(path)
        if isinstance(bare, int | float):
            return float(bare), float(bare), float(bare)
        table = self.document.table(path)
        unit = str(table.get("unit"))
        ends = (float(str(table.get(k, "nan"))) for k in _FIGURE)
        low, value, high = (
            celsius(end, "F") if unit == "F" else BASE_OF.get(unit, 1.0) * end for end in ends
        )
        return low, value, high


_NAME = Path("crop.toml")
_FIGURE = ("low", "value", "high")


@dataclass(frozen=True, slots=True)
class Case:
    """Fruit of a crop (a key of the profiles) that starts and waits as a statement says."""

    crop: str
    start: Start
    stays: tuple[Waits, ...]
    ethylene_h: float = 0.0

    @property
    def last_h(self) -> float:
        """Hours from the pick to the beginning of its last stay."""
        return 24.0 * sum(stay.days or 0.0 for stay in self.stays[:-1])

    @property
    def end_h(self) -> float:
        """Hours from the pick to the end of its last stay, where that has one."""
        return self.last_h + 24.0 * (self.stays[-1].days or 0.0)

    def held_at(self, celsius: float) -> "Case":
        """The same with the last stay at another temperature (C)."""
        return replace(self, stays=(*self.stays[:-1], Waits(celsius, 0.0, self.stays[-1].days)))


def said(crops: Mapping[str, WrittenCrop], statements: Sequence[tuple[str, Statement]]) -> Ranged:
    """What the program says of each (crop, statement), in the statement's own unit.

    Columns have shape (statements,); nan where what is said to happen never does. The crops are
    keys of ``crops``. Ranges are 80 %, the doubt about temperatures that were not printed
    included.
    """
    middle = _plain(crops, statements)
    doubtful = [n for n, (_, s) in enumerate(statements) if any(w.doubt_k for w in s.stays)]
    if not doubtful:
        return middle
    some = [statements[n] for n in doubtful]
    ends = [
        _plain(crops, [(crop, _with_air_off(one, part)) for crop, one in some]).mid
        for part in (-1.0, 1.0)
    ]
    return _widened(middle, np.array(doubtful), ends)


def middles(
    crops: Mapping[str, WrittenCrop], statements: Sequence[tuple[str, Statement]]
) -> Floats:
    """The middles of :func:`said` alone."""
    return np.asarray(_plain(crops, statements).mid)


def group_of(profile: CropProfile, statement: Statement) -> str | None:
    """The group with figures of its own that a statement is about, alone (``"gold"``) or with its
    cultivar (``"gold: SunGold"``); None for the crop."""
    name = statement.group.partition(":")[0]
    return name if name in profile.of_groups else None


def _with_air_off(statement: Statement, part: float) -> Statement:
    stays = tuple(replace(s, celsius=s.celsius + part * s.doubt_k) for s in statement.stays)
    return replace(statement, stays=stays)


def _widened(said: Ranged, which: np.ndarray, ends: Sequence[Floats]) -> Ranged:
    """Ranges drawn out by another, independent doubt, given by the values at its two ends."""
    mid = said.mid[which]
    known = np.where(np.isfinite(ends), ends, mid)
    low, high = said.low.copy(), said.high.copy()
    below = mid - known.min(axis=0)
    above = known.max(axis=0) - mid
    low[which] = np.maximum(mid - np.hypot(mid - low[which], np.maximum(below, 0.0)), 0.0)
    high[which] = mid + np.hypot(high[which] - mid, np.maximum(above, 0.0))
    return Ranged(low, said.mid, high)


def _plain(crops: Mapping[str, WrittenCrop], statements: Sequence[tuple[str, Statement]]) -> Ranged:
    columns = np.full((3, len(statements)), np.nan)
    carried = [n for n, (_, one) in enumerate(statements) if one.asks is not Asks.FIGURE]
    cases: list[Case] = []
    profiles: dict[str, CropProfile] = {}
    for n in carried:
        crop, one = statements[n]
        group = group_of(crops[crop].profile, one)
        key = f"{crop}/{group}" if group else crop
        profiles[key] = crops[crop].profile.of_group(group)
        case = Case(key, one.start, one.stays, one.ethylene_h)
        cases.append(case)
        if one.times_at_c is not None:
            cases.append(case.held_at(one.times_at_c))
    if cases:
        way = _Carried(profiles, cases)
        at = 0
        for n in carried:
            one = statements[n][1]
            columns[:, n] = way.answer(one, at)
            at += 1 if one.times_at_c is None else 2
    for n, (crop, one) in enumerate(statements):
        if one.asks is Asks.FIGURE:
            columns[:, n] = crops[crop].figure(one.figure)
    return Ranged(*columns)


class _Carried:
    """Cases on their ways; answers are told of one case at a time."""

    def __init__(self, profiles: Mapping[str, CropProfile], cases: Sequence[Case]) -> None:
        self._cases = cases
        book = _book(cases)
        now = _PICKED_AT + timedelta(hours=max(case.end_h for case in cases))
        self._projector = Projector(profiles, _ZONE)
        lines = self._projector.lines(book)
        line_of = {batch_id: n for n, batch_id in enumerate(lines.ids)}
        self._line = [line_of[str(n)] for n in range(len(cases))]
        lines = self._started(lines)
        self._outlook = self._projector.outlook_along(lines, book, now)
        self._projection = self._projector.projection(self._outlook, now)

    def _started(self, lines: BatchColumns) -> BatchColumns:
        """Lines in which fruit that starts at a mark is of that age."""
        known = lines.batches
        mean, doubt, ripens = known.mean_age.copy(), known.doubt_sd.copy(), known.ripens.copy()
        for case, line in zip(self._cases, self._line, strict=True):
            crop = self._crop(case)
            if case.start.ready:
                mean[line] = crop.ready_age + _JUST_READY
            elif case.start.at_n is not None:
                mean[line] = _age_at(case.start.at_n, crop)
            else:
                continue
            doubt[line], ripens[line] = _MARK_DOUBT, 1.0
        return replace(lines, batches=replace(known, mean_age=mean, doubt_sd=doubt, ripens=ripens))

    def _crop(self, case: Case) -> CropConstants:
        return self._projector.constants[CropKind(case.crop)]

    def answer(self, statement: Statement, at: int) -> tuple[float, float, float]:
        """Low, middle and high of what a statement asks of case number ``at``."""
        value = self._one(statement, at)
        if statement.times_at_c is None:
            return value
        other = self._one(statement, at + 1)
        if not (value[1] > 0.0 and other[1] > 0.0):
            # At once, or never: no number of times as long.
            return np.nan, np.nan, np.nan
        return ratio_range(value, other)

    def _one(self, statement: Statement, at: int) -> tuple[float, float, float]:
        asks, line = statement.asks, self._line[at]
        if asks is Asks.READY:
            return self._days(self._projection.opens_h, at)
        if asks is Asks.KEPT:
            return self._days(self._projection.closes_h, at)
        if asks is Asks.INJURY:
            return self._days(self._injured, at)
        if asks is Asks.ABLE:
            return self._days(self._able, at)
        if asks is Asks.WONT_RIPEN:
            share = 100.0 * float(self._projection.wont_ripen[line])
            return share, share, share
        if asks is Asks.MARK:
            return self._days(self._to_mark(statement.mark_n or 0.0, at), at)
        if asks is Asks.READY_PCT:
            low, mid, high = (100.0 * float(column[line]) for column in self._ready_at_end)
            return min(low, mid), mid, max(high, mid)
        return self._firmness(at, of_start=asks is Asks.FIRMNESS_LEFT)

    def _days(self, hours: Ranged, at: int) -> tuple[float, float, float]:
        """Days since the beginning of the last stay; 0 for what has happened before."""
        begun_h = to_hours(_PICKED_AT) + self._cases[at].last_h
        low, mid, high = (
            float((column[self._line[at]] - begun_h) / 24.0)
            for column in (hours.low, hours.mid, hours.high)
        )
        if not np.isfinite(mid):
            return np.nan, np.nan, np.nan
        return max(low, 0.0), max(mid, 0.0), max(high, 0.0) if np.isfinite(high) else np.nan

    @cached_property
    def _injured(self) -> Ranged:
        out = self._outlook.limits.chilling.out()
        return Ranged(out.low, out.mid, out.high)

    @cached_property
    def _able(self) -> Ranged:
        ageing, opens_h = self._outlook.ageing, self._projection.gate_opens_h
        if not isinstance(ageing, GatedAgeing):
            return Ranged(opens_h, opens_h, opens_h)
        middle = ageing.opens_h.shape[1] // 2
        return Ranged(ageing.opens_low_h[:, middle], opens_h, ageing.opens_high_h[:, middle])

    @cached_property
    def _ready_at_end(self) -> tuple[Floats, Floats, Floats]:
        end_h = np.empty(len(self._cases))
        end_h[self._line] = [to_hours(_PICKED_AT) + case.end_h for case in self._cases]
        low, high = self._outlook.ready_range_at(end_h)
        return low, self._outlook.ready_as_estimated(end_h), high

    def _to_mark(self, mark_n: float, at: int) -> Ranged:
        """When the middle fruit of one case comes to a mark (h); a column for the answer's line."""
        outlook, line = self._outlook, self._line[at]
        age = _age_at(mark_n, self._crop(self._cases[at]))
        batches, way = outlook.batches, outlook.way
        one = slice(line, line + 1)
        advance = [
            advance_at_quantile(z, age, way.age[one], way.doubt_sd[one], way.rate_sd[one])
            for z in (TAIL_80, 0.0, -TAIL_80)
        ]
        days = np.column_stack(advance) / batches.rate_per_day[one, None] + way.from_days[one, None]
        columns = np.full((3, batches.picked_h.size), np.nan)
        columns[:, line] = outlook.ageing.of(one).when(days)[0]
        return Ranged(*columns)

    def _firmness(self, at: int, of_start: bool) -> tuple[float, float, float]:
        line, case = self._line[at], self._cases[at]
        crop, outlook = self._crop(case), self._outlook
        batches, way = outlook.batches, outlook.way
        end_h = np.full((batches.picked_h.size, 1), to_hours(_PICKED_AT) + case.end_h)
        advance = float(outlook.gaining.usual_at(end_h).advance[line, 0])

        def firmness_n(z: float) -> float:
            age = age_at_quantile(z, way.age[line], advance, way.doubt_sd[line], way.rate_sd[line])
            return float(firmness_n_at_age(age, crop.highest_n, crop.lowest_n))

        low, mid, high = (firmness_n(z) for z in (TAIL_80, 0.0, -TAIL_80))
        if not of_start:
            return low, mid, high
        start = float(firmness_n_at_age(batches.mean_age[line], crop.highest_n, crop.lowest_n))
        return 100.0 * low / start, 100.0 * mid / start, 100.0 * high / start


def _age_at(mark_n: float, crop: CropConstants) -> float:
    """The age at a firmness; fruit that reads beyond the ends of the curve is near its end."""
    span = crop.highest_n - crop.lowest_n
    inside = np.clip(mark_n, crop.lowest_n + 0.002 * span, crop.highest_n - 0.002 * span)
    return float(age_from_firmness_n(inside, crop.highest_n, crop.lowest_n))


def _book(cases: Sequence[Case]) -> Book:
    """A season in which every case is a crate; cases that wait at one temperature share a place."""
    season = SeasonDetails(
        id="published", name="", zone="UTC", first_day=date(2025, 8, 1),
        units="metric", currency="USD", practice_now=_PICKED_AT,
    )  # fmt: skip
    places: dict[str, Place] = {}
    set_points: dict[str, SetPointChange] = {}
    batches: dict[str, Batch] = {}
    moves: dict[str, Move] = {}
    treatments: dict[str, Treatment] = {}
    for number, case in enumerate(cases):
        key, at = str(number), _PICKED_AT
        batches[key] = Batch(
            id=key, code=key, crop=case.crop, picked_at=at, count=_FRUIT,
            feel_counts=_counts(case.start),
        )  # fmt: skip
        for step, stay in enumerate(case.stays):
            if stay.days == 0.0:
                continue
            place = f"{stay.celsius!r}"
            if place not in places:
                places[place] = Place(
                    id=place, name=place, kind="cold room", half_cooling_h=_COOLS_H
                )
                set_points[place] = SetPointChange(
                    id=place, place_id=place, at=_PICKED_AT, set_point_c=stay.celsius
                )
            move = f"{key}/{step}"
            moves[move] = Move(id=move, batch_id=key, at=at, place_id=place)
            at += timedelta(days=stay.days or 0.0)
        if case.ethylene_h:
            treatments[key] = Treatment(id=key, batch_id=key, at=_PICKED_AT, hours=case.ethylene_h)
    return Book(
        season=season, places=places, set_points=set_points,
        batches=batches, moves=moves, treatments=treatments,
    )  # fmt: skip


def _counts(start: Start) -> tuple[int, int, int, int, int] | None:
    if start.feel is None:
        return None
    a, b, c, d, e = (_FRUIT if n == start.feel else 0 for n in range(len(FEELS)))
    return a, b, c, d, e
