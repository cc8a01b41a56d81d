"""Whether the plan is better than simple rules, said as it is."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.planning.evaluate import PlanOutcome, SampledRange
from ripenroom.records.crop.called import fruit_noun
from ripenroom.season import actions
from ripenroom.season.plans.plan import LikelyFruit, Plan
from ripenroom.window.session import Session
from ripenroom.wording.plan.worth import at_risk, gap_words, unpriced, verdict
from tests.window.planned import planned


@pytest.fixture
def plan(qtbot: QtBot, session: Session) -> Plan:
    return planned(qtbot, session)


def outcome(value: float, sold: float) -> PlanOutcome:
    def about(mean: float) -> SampledRange:
        return SampledRange(0.8 * mean, mean, 1.2 * mean)

    return PlanOutcome(about(value), about(sold), about(1.0))


def held_to(plan: Plan, ours: tuple[float, float], best: tuple[float, float]) -> Plan:
    """A plan that comes to ``ours`` (value, sold), with rules of which one comes to ``best``."""
    worst = outcome(0.0, 0.0)
    return replace(
        plan,
        outcome=outcome(*ours),
        with_likely=outcome(*ours),
        first_in_first_out=worst,
        first_expired_first_out=outcome(*best),
        as_it_is=worst,
    )


@pytest.mark.parametrize(
    ("ours", "best", "expected"),
    [
        (
            (20_000.0, 100.0),
            (15_000.0, 90.0),
            "That is €50 more than the best simple rule, “Soonest past first”.",
        ),
        (
            (20_000.0, 100.0),
            (20_000.0, 90.0),
            "The simple rule “Soonest past first” does as",
        ),
        ((20_000.0, 100.0), (22_000.0, 90.0), "does better here, by €20."),
        ((0.0, 0.0), (0.0, 0.0), "Nothing can be sold as things stand."),
        ((20_000.0, 80.0), (15_000.0, 90.0), "It sells 10 fewer fruit, at better prices."),
    ],
)
def test_the_verdict(
    session: Session,
    plan: Plan,
    ours: tuple[float, float],
    best: tuple[float, float],
    expected: str,
) -> None:
    assert expected in verdict(held_to(plan, ours, best), session.words)


def test_how_far_it_may_be_from_the_best_is_said(session: Session, plan: Plan) -> None:
    words = session.words
    sold = held_to(plan, (20_000.0, 9.0), (0.0, 0.0))
    assert gap_words(replace(sold, gap=0.01), words) == ""
    # Under a bound of 100 a plan of 80 leaves a quarter more to be had.
    said = gap_words(replace(sold, gap=0.2), words)
    assert f"{words.share(0.25)} more at most" in said
    nothing = held_to(plan, (0.0, 0.0), (0.0, 0.0))
    assert gap_words(replace(nothing, gap=1.0), words) == ""


def test_without_prices_that_is_said(session: Session) -> None:
    assert unpriced(session) == ""
    season = session.season
    for day in list(season.book.market_days.values()):
        wants = [
            replace(want, price_minor=None)
            for want in season.book.wants.values()
            if want.market_day_id == day.id
        ]
        season.do(actions.market_days.save, day, wants)
    assert unpriced(session).startswith("No prices are entered")


def test_risks_tell_how_many_of_how_many(session: Session, plan: Plan) -> None:
    market = replace(
        plan.markets[0],
        wanted=40,
        planned=30.0,
        ready=LikelyFruit(10.0, 24.0, 33.0),
        risk=0.45,
    )
    crop = fruit_noun(session.season.crops[market.crop])
    (said,) = at_risk(replace(plan, markets=(market,)), session)
    assert said.endswith(f": 24 {crop} (10–33) of 40 wanted, 45 % risk of too few")
    certain = replace(market, risk=1.0)
    (said,) = at_risk(replace(plan, markets=(certain,)), session)
    assert said.endswith(f": only 24 {crop} (10–33) of 40 wanted")
    nothing = replace(market, planned=0.0, risk=1.0)
    (said,) = at_risk(replace(plan, markets=(nothing,)), session)
    assert said.endswith(f": no {crop} of 40 wanted")
    assert at_risk(replace(plan, markets=(replace(market, risk=0.1),)), session) == []
