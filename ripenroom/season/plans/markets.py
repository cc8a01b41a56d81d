"""What a plan brings to each market day ahead, and how sure that is."""

import numpy as np

from ripenroom.planning.evaluate import Sampled, drawn
from ripenroom.planning.problem import NO_WANT
from ripenroom.science.clock import Indices
from ripenroom.season.plans.ground import Ground
from ripenroom.season.plans.planned import Likely, PlannedMarket

AT_RISK_SHARE = 0.8
"""With less saleable fruit than this part of what it wants, a market day counts as failed."""


def planned_markets(laid: Ground, crates: Indices, truths: Sampled) -> tuple[PlannedMarket, ...]:
    """What comes to each market day ahead, of each crop that it wants or is brought."""
    problem = laid.problem
    sells = problem.ways.want != NO_WANT
    brought = (problem.fruit_per_crate[problem.ways.batch] * crates)[sells]
    planned = np.bincount(problem.ways.want[sells], brought, minlength=problem.wants.fruit.size)
    day, crop = laid.day_of_want.tolist(), laid.crop_of_want
    wants = sorted(range(len(day)), key=lambda n: (laid.days[day[n]].starts_at, day[n], crop[n]))
    return tuple(_market(laid, truths, want, float(planned[want])) for want in wants)


def _market(laid: Ground, truths: Sampled, want: int, planned: float) -> PlannedMarket:
    wanted, ready = float(laid.problem.wants.fruit[want]), drawn(truths.saleable[want])
    return PlannedMarket(
        market_day_id=laid.days[laid.day_of_want[want]].id,
        crop=laid.crop_of_want[want],
        wanted=round(wanted),
        planned=planned,
        ready=Likely(min(ready.low, ready.mean), ready.mean, max(ready.high, ready.mean)),
        shortage=max(wanted - ready.mean, 0.0),
        surplus=max(ready.mean - wanted, 0.0),
        risk=float((truths.saleable[want] < AT_RISK_SHARE * wanted).mean()),
    )
