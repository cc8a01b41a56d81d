"""What is expected of the rows: fruit to pick, fruit that is lost, what frost finds, and advice."""

import math
from dataclasses import replace
from datetime import date, timedelta
from typing import Literal

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.market import Feel
from ripenroom.science.able import AbleToRipen, fruit_that_ripens
from ripenroom.science.age_belief import Prior
from ripenroom.science.at_pick import age_from_feel
from ripenroom.science.orchard.pick_forecast import (
    Flags,
    Numbers,
    expected_picks,
    forecast,
    frost_finds,
    lost_by,
)
from ripenroom.science.orchard.visits import PickByFeel, pick_by_feel, walk_every
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.orchard.believed import AHEAD_DAYS, OrchardBelief, orchard_belief
from ripenroom.season.orchard.first_frost import frost_forecast
from ripenroom.season.orchard.found import (
    NO_FRUIT,
    FeelAdvice,
    FrostForecast,
    FruitRange,
    OrchardForecast,
    RowFacts,
    RowForecast,
)
from ripenroom.season.orchard.row_facts import row_facts
from ripenroom.season.orchard.usual import WALK_COSTS_FRUIT
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

_ANY_FRUIT = 0.5

_ADVISED: tuple[Feel, ...] = FEELS[:-1]
"""Feels that a picker decides on: what is too soft is lost either way."""


def orchard_forecast(state: SeasonState) -> OrchardForecast:
    """What is expected of all rows from today on, the row first that is most worth a walk."""
    frost = frost_forecast(state.book, state.today, AHEAD_DAYS)
    left_out = tuple(
        (facts.row.id, why)
        for facts in row_facts(state.book, state.crops)
        if (why := _left_out(state, facts)) is not None
    )
    orchard = orchard_belief(state)
    rows = [] if orchard is None else _rows(orchard, state.today, frost)
    worth = sorted(rows, key=lambda row: (-row.lost[_apart(row.walk_every_days)].mid, row.row_id))
    return OrchardForecast(state.today, tuple(worth), _shown(frost), left_out)


def _left_out(state: SeasonState, facts: RowFacts) -> Literal["no fruit counted", "no crop"] | None:
    if facts.crop not in state.crops:
        return "no crop"
    return "no fruit counted" if facts.counted is None else None


def _shown(frost: FrostForecast | None) -> FrostForecast | None:
    if frost is None:
        return None
    return replace(frost, days=frost.days[:SHOWN_DAYS], chance=frost.chance[:SHOWN_DAYS])


def _rows(orchard: OrchardBelief, today: date, frost: FrostForecast | None) -> list[RowForecast]:
    belief = orchard.belief
    far = orchard.tree_days(today, AHEAD_DAYS)
    near = np.ascontiguousarray(far[:, :SHOWN_DAYS])
    week = near[:, _WEEK - 1] - near[:, 0]
    costs = np.full(len(orchard.rows), WALK_COSTS_FRUIT)
    # A walk is worth it every so many tree days; told are days of the coming week.
    every = walk_every(belief, near[:, :_WEEK], costs) * (_WEEK - 1) / np.maximum(week, 0.1)
    picked_on = np.stack([_picks_on(_apart(days)) for days in every])
    chances = np.zeros(AHEAD_DAYS) if frost is None else np.array(frost.chance)
    looks = forecast(belief, near)
    picks = expected_picks(belief, near, picked_on[:, :SHOWN_DAYS])
    lost = lost_by(belief, near)
    reached = frost_finds(belief, far, picked_on, chances)
    advice = pick_by_feel(belief, near[:, 0], near[:, 1] - near[:, 0], _ripens(orchard.crops))
    days = tuple(today + timedelta(days=n) for n in range(SHOWN_DAYS))

    def told(number: int) -> RowForecast:
        row = orchard.rows[number]
        found = _ranges(picks, number)
        return RowForecast(
            row_id=row.facts.row.id,
            days=days,
            hanging=_ranges(looks.hanging, number)[0],
            ready=_ranges(looks.ready, number),
            picks=tuple(
                count if on else NO_FRUIT
                for count, on in zip(found, picked_on[number], strict=False)
            ),
            lost=_ranges(lost, number),
            walk_every_days=float(every[number]),
            frost_reaches=_ranges(reached, number)[0],
            by_feel=_advice(advice, number),
            by_heat=orchard.groups[row.group].by_heat,
            walks=sum(1 for walk in row.facts.walks if walk.feel_counts is not None),
        )

    return [told(number) for number in range(len(orchard.rows))]


def _apart(every_days: float) -> int:
    """Whole days from one pick to the next."""
    return _SELDOM if math.isinf(every_days) else max(1, min(_MOST_APART, round(every_days)))


def _picks_on(apart: int) -> Flags:
    """Today and every so many days from then on."""
    return np.asarray(np.arange(AHEAD_DAYS) % apart == 0)


def _ranges(numbers: Numbers, row: int) -> tuple[FruitRange, ...]:
    columns = (np.atleast_1d(of[row]).tolist() for of in (numbers.low, numbers.mean, numbers.high))
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
