"""What is expected of the rows: fruit to pick, fruit that is lost, what frost finds, and advice."""

import math
from dataclasses import replace
from datetime import timedelta
from typing import Literal

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.market import Feel
from ripenroom.science.able_to_ripen import AbleToRipen, fruit_that_ripens
from ripenroom.science.ages import Prior
from ripenroom.science.at_pick import age_from_feel
from ripenroom.science.orchard.pick_forecast import (
    Flags,
    Numbers,
    all_picked_by,
    expected_picks,
    forecast,
    frost_finds,
    lost_by,
    picked_by,
)
from ripenroom.science.orchard.visits import PickByFeel, pick_by_feel, walk_every
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.orchard.believed import MOST_KEPT, OrchardBelief, orchard_belief
from ripenroom.season.orchard.frost import frost_forecast, left_in_row
from ripenroom.season.orchard.heat import clock_sd, fits
from ripenroom.season.orchard.orchard_rows import AHEAD_DAYS, row_facts
from ripenroom.season.orchard.orchard_types import (
    NO_FRUIT,
    CultivarPicks,
    FeelAdvice,
    FrostForecast,
    FruitRange,
    OrchardForecast,
    RowFacts,
    RowForecast,
)
from ripenroom.season.orchard.priors import WALK_COSTS_FRUIT
from ripenroom.season.state import SeasonState

SHOWN_DAYS = 30
"""Days that are told, today first."""

_WEEK = 8
"""Days, today among them, over which fruit is looked at as turning evenly, to say how often a walk
is worth its time."""

_MOST_APART, _SELDOM = 7, 3
"""Days between picks that are reckoned with, at most, and where no walk is worth its time."""

_FELT = 20.0
"""Fruit that are thought to have been felt, to know the age of a feel."""

_ODD_SD = 2.5
"""From so many sds on what a row was seen to need is odd: its day of bloom may be a slip."""

_ANY_FRUIT = 0.5
_NEAR_NONE = 1e-9

_ADVISED: tuple[Feel, ...] = FEELS[:-1]
"""Feels that a picker decides on: what is too soft is lost either way."""


_kept: tuple[tuple[OrchardBelief, OrchardForecast], ...] = ()
"""The newest first."""


def orchard_forecast(state: SeasonState) -> OrchardForecast:
    """What is expected of all rows from today on, the row first that is most worth a walk.

    Asked again of the same belief, of which pages and plan ask one after the other, it is the same
    answer, at no cost.
    """
    global _kept
    orchard, before = orchard_belief(state), _kept
    for of, told in before:
        if of is orchard:
            return told
    found = _forecast(state, orchard)
    if orchard is not None:
        _kept = (orchard, found), *before[: MOST_KEPT - 1]
    return found


def _forecast(state: SeasonState, orchard: OrchardBelief | None) -> OrchardForecast:
    blooms = [] if orchard is None else [row.bloom.on for row in orchard.of.rows]
    frost = frost_forecast(state, blooms, AHEAD_DAYS)
    left_out = tuple(
        (facts.row.id, why)
        for facts in row_facts(state.book, state.crops)
        if (why := _left_out(state, facts)) is not None
    )
    if orchard is None:
        return OrchardForecast(state.today, (), _shown(frost), left_out)
    rows, cultivars = _told(state, orchard, frost)
    worth = sorted(rows, key=lambda row: (-row.lost[_apart(row.walk_every_days)].mid, row.row_id))
    return OrchardForecast(state.today, tuple(worth), _shown(frost), left_out, cultivars)


def _left_out(state: SeasonState, facts: RowFacts) -> Literal["no fruit counted", "no crop"] | None:
    if facts.crop not in state.crops:
        return "no crop"
    return "no fruit counted" if facts.counted is None else None


def _shown(frost: FrostForecast | None) -> FrostForecast | None:
    if frost is None:
        return None
    return replace(
        frost,
        days=frost.days[:SHOWN_DAYS],
        chance=frost.chance[:SHOWN_DAYS],
        left=frost.left[:SHOWN_DAYS],
    )


def _told(
    state: SeasonState, orchard: OrchardBelief, frost: FrostForecast | None
) -> tuple[list[RowForecast], tuple[CultivarPicks, ...]]:
    belief, today = orchard.belief, state.today
    far = orchard.of.tree_days(today, AHEAD_DAYS)
    near = np.ascontiguousarray(far[:, :SHOWN_DAYS])
    week = near[:, _WEEK - 1] - near[:, 0]
    costs = np.full(len(orchard.of.rows), WALK_COSTS_FRUIT)
    # A walk is worth it every so many tree days; told are days of the coming week.
    every = walk_every(belief, near[:, :_WEEK], costs) * (_WEEK - 1) / np.maximum(week, 0.1)
    either = {by_heat: clock_sd(SHOWN_DAYS, by_heat) for by_heat in (False, True)}
    off = np.stack([either[orchard.of.groups[row.group].by_heat] for row in orchard.of.rows])
    looks = forecast(belief, near, off)
    days = tuple(today + timedelta(days=n) for n in range(SHOWN_DAYS))
    hung = looks.hanging.mean[:, 0].tolist()
    left = np.array(
        [
            left_in_row(state, frost, row, there, days)
            for row, there in zip(orchard.of.rows, hung, strict=True)
        ]
    )
    # While fruit falls after a frost, rows are picked every day.
    falling = np.concatenate([left[:, 1:] < left[:, :-1], left[:, -1:] < 0.0], axis=1)
    picked_on = np.stack([_picks_on(_apart(some)) for some in every])
    picked_on[:, :SHOWN_DAYS] |= falling
    chances = np.zeros(AHEAD_DAYS) if frost is None else np.array(frost.chance)
    soon_on = picked_on[:, :SHOWN_DAYS]
    picks = expected_picks(belief, near, soon_on)
    by_day = picked_by(belief, near, soon_on, off)
    spared_by = _spared_by(picks.mean * soon_on, left)
    lost = lost_by(belief, near, off)
    reached = frost_finds(belief, far, picked_on, chances)
    advice = pick_by_feel(belief, near[:, 0], near[:, 1] - near[:, 0], _ripens(orchard.of.crops))

    odd = orchard.needs_off > _ODD_SD

    def told(number: int) -> RowForecast:
        row = orchard.of.rows[number]
        found, hangs_on = _ranges(picks, number), left[number].tolist()
        hanging = _ranges(looks.hanging, number)[0] * hangs_on[0]
        return RowForecast(
            row_id=row.facts.row.id,
            days=days,
            hanging=hanging,
            ready=_times(_ranges(looks.ready, number), hangs_on),
            picks=tuple(
                count if on else NO_FRUIT
                for count, on in zip(_times(found, hangs_on), picked_on[number], strict=False)
            ),
            picked_by=_times(_ranges(by_day, number), spared_by[number].tolist()),
            lost=tuple(
                count * part + hanging * (1.0 - part / max(hangs_on[0], _NEAR_NONE))
                for count, part in zip(_ranges(lost, number), hangs_on, strict=True)
            ),
            walk_every_days=float(every[number]),
            frost_reaches=_ranges(reached, number)[0],
            by_feel=_advice(advice, number),
            by_heat=orchard.of.groups[row.group].by_heat,
            walks=sum(1 for walk in row.facts.walks if walk.feel_counts is not None),
            bloom=row.bloom,
            bloom_is_odd=bool(odd[number]) or not fits(state, row.facts, row.bloom, row.picks),
            spring=row.spring,
            by_months=orchard.of.clocks.goes_by_months(row.bloom.on, today),
        )

    rows = [told(number) for number in range(len(orchard.of.rows))]
    return rows, _of_cultivars(orchard, near, soon_on, off, picks.mean, left)


def _of_cultivars(
    orchard: OrchardBelief,
    tree_days: Floats,
    picked_on: Flags,
    clock_off: Floats,
    found_on: Floats,
    left: Floats,
) -> tuple[CultivarPicks, ...]:
    """Picks of all rows of each cultivar; of one whose rows go by two clocks, off together.

    ``found_on`` are the picks of each row without frost, and ``left`` what it leaves of them.
    """
    found: dict[str, tuple[FruitRange, ...]] = {}
    for place, group in enumerate(orchard.of.groups):
        own = picked_on & (orchard.belief.rows.cultivar == place)[:, None]
        total = all_picked_by(orchard.belief, tree_days, own, clock_off)
        of_rows = np.where(own, found_on, 0.0)
        spared = _spared_by(of_rows.sum(axis=0), _part(of_rows * left, of_rows))
        picks = _times(_columns(total), spared.tolist())
        before = found.get(group.cultivar_id)
        if before is not None:
            picks = tuple(one + other for one, other in zip(before, picks, strict=True))
        found[group.cultivar_id] = picks
    return tuple(CultivarPicks(*each) for each in found.items())


def _part(spared: Floats, of_rows: Floats) -> Floats:
    """What frost leaves of the picks of rows together, (days,)."""
    return np.asarray(spared.sum(axis=0) / np.maximum(of_rows.sum(axis=0), _NEAR_NONE))


def _spared_by(picks: Floats, left: Floats) -> Floats:
    """The share of all picks until each day that frost leaves, from what it leaves of each day's;
    days in the last axis."""
    every = np.cumsum(picks, axis=-1)
    share = np.cumsum(picks * left, axis=-1) / np.maximum(every, _NEAR_NONE)
    return np.where(every > _NEAR_NONE, share, 1.0)


def _times(counts: tuple[FruitRange, ...], parts: list[float]) -> tuple[FruitRange, ...]:
    if min(parts) == 1.0 == max(parts):
        return counts
    return tuple(count * part for count, part in zip(counts, parts, strict=True))


def _apart(every_days: float) -> int:
    """Whole days from one pick to the next."""
    return _SELDOM if math.isinf(every_days) else max(1, min(_MOST_APART, round(every_days)))


def _picks_on(apart: int) -> Flags:
    """Today and every so many days from then on."""
    return np.asarray(np.arange(AHEAD_DAYS) % apart == 0)


def _ranges(numbers: Numbers, row: int) -> tuple[FruitRange, ...]:
    parts = (np.atleast_1d(part[row]) for part in (numbers.low, numbers.mean, numbers.high))
    return _columns(Numbers(*parts))


def _columns(numbers: Numbers) -> tuple[FruitRange, ...]:
    columns = numbers.low.tolist(), numbers.mean.tolist(), numbers.high.tolist()
    return tuple(FruitRange(*each) for each in zip(*columns, strict=True))


def _advice(advice: PickByFeel, row: int) -> tuple[FeelAdvice, ...]:
    """Advice on each feel of which any fruit hangs."""
    columns = (of[row].tolist() for of in (advice.fruit, advice.now, advice.later, advice.lost))
    return tuple(
        FeelAdvice(feel, now, later, lost)
        for feel, fruit, now, later, lost in zip(_ADVISED, *columns, strict=False)
        if fruit >= _ANY_FRUIT
    )


def _ripens(crops: tuple[CropConstants, ...]) -> Floats:
    """The share of fruit of each feel that ripens if it is picked, (rows, feels)."""
    known: dict[int, Floats] = {}
    for crop in crops:
        if id(crop) not in known:
            known[id(crop)] = _ripens_of(crop)
    return np.stack([known[id(crop)] for crop in crops])


def _ripens_of(crop: CropConstants) -> Floats:
    feels = len(FEELS)

    def every(figure: float) -> Floats:
        return np.full(feels, figure)

    usual = Prior(every(crop.maturity_age), every(crop.maturity_sd), every(crop.fruit_sd))
    edges = np.tile(crop.feel_edges, (feels, 1))
    age = age_from_feel(np.eye(feels) * _FELT, edges, every(crop.judgement_sd), usual)
    figures = crop.half_n, crop.width_n, crop.half_sd, crop.highest_n, crop.lowest_n
    return fruit_that_ripens(age, AbleToRipen(*(every(figure) for figure in figures)))[0]
