"""Whether the plan is better than simple rules, and worth its moves, said as it is."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.planning.evaluate import PlanOutcome, SampledRange
from ripenroom.records.crop.crop_names import fruit_noun
from ripenroom.season import actions
from ripenroom.season.plans.plan import LikelyFruit, Plan
from ripenroom.season.plans.update import Delay
from ripenroom.window.session import Session
from ripenroom.wording.plan.worth import (
    at_risk,
    gap_words,
    half_words,
    handling_words,
    moves_that_count,
    unpriced,
    verdict,
    worth_it,
)
from tests.window.planned import planned, todays_move


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


def test_figures_that_say_otherwise_are_not_left_alone(session: Session, plan: Plan) -> None:
    """The table beside it shows neither what is kept nor the work: a plan that looks worse there
    and is better all the same says what both come to."""
    held = held_to(plan, (16_300.0, 60.0), (16_800.0, 60.0))
    ours = replace(held.with_likely, later=4_900.0, handling=300.0)
    best = replace(held.first_expired_first_out, later=3_300.0, handling=200.0)
    said = verdict(replace(held, with_likely=ours, first_expired_first_out=best), session.words)
    assert said == (
        "Less the work of moving crates, this plan comes to €209 and the best simple rule to "
        "€199. That is €10 more than the best simple rule, “Soonest past first”."
    )
    assert half_words(
        replace(held, with_likely=ours, first_expired_first_out=best), session.words
    ).endswith("kept for later at half its price.")
    # Where nothing is kept the work alone may turn it.
    ours, best = replace(ours, later=0.0), replace(best, later=0.0, handling=1_200.0)
    said = verdict(replace(held, with_likely=ours, first_expired_first_out=best), session.words)
    assert said.startswith("Less the work of moving crates, this plan comes to €160 and the best ")
    assert "to €156. That is €4 more than" in said
    # Equally good, and yet the table shows two figures.
    best = replace(best, handling=800.0)
    said = verdict(replace(held, with_likely=ours, first_expired_first_out=best), session.words)
    assert "comes to €160 and the best simple rule to €160. The simple rule" in said


@pytest.mark.parametrize("later", [0.0, 5_000.0])
def test_what_moving_is_worth_says_when_it_counts_what_is_kept(
    session: Session, plan: Plan, later: float
) -> None:
    held = held_to(plan, (20_000.0, 100.0), (15_000.0, 90.0))
    held = replace(held, with_likely=replace(held.with_likely, later=later))
    said = worth_it(held, {}, session.words)
    gain = "€250" if later else "€200"
    assert said.startswith(f"{gain} more than moving nothing, for ")
    assert bool(half_words(held, session.words)) is bool(later)
    # Said once, however many sentences count it.
    assert "half" not in said + verdict(held, session.words)


def test_a_plan_without_moves_claims_no_gain(session: Session, plan: Plan) -> None:
    """The table shows a rule that sells for more; what its moves cost is not in the table."""
    still = tuple(replace(line, steps=(), second_grade=False) for line in plan.lines)
    held = replace(held_to(plan, (5_800.0, 60.0), (7_200.0, 70.0)), lines=still)
    dear = replace(held.first_expired_first_out, handling=2_000.0)
    held = replace(held, first_expired_first_out=dear, as_it_is=outcome(5_200.0, 60.0))
    assert worth_it(held, {}, session.words) == "No move is needed."
    assert verdict(held, session.words) == (
        "“Soonest past first” sells for more, but less the work of moving crates it comes to €52, "
        "this plan to €58."
    )
    assert verdict(replace(held, first_expired_first_out=outcome(0.0, 0.0)), session.words) == ""


def test_a_rule_that_sells_for_more_is_not_passed_over(session: Session, plan: Plan) -> None:
    held = held_to(plan, (20_000.0, 60.0), (15_000.0, 60.0))
    dear = replace(outcome(24_000.0, 70.0), handling=12_000.0, later=1_000.0)
    said = verdict(replace(held, first_in_first_out=dear), session.words)
    assert said.endswith(
        "rule, “Soonest past first”. “Oldest pick first” sells for more, but less the work of "
        "moving crates it comes to €130, this plan to €200."
    )


def test_what_moving_is_worth_is_what_the_table_shows(qtbot: QtBot, session: Session) -> None:
    """149.6 less 100.4 is 49.2, but who takes €100 from €150 finds €50."""
    planned(qtbot, session)
    said = worth_it(of_moves(session, 2, 4_920.0, 10_040.0, 30.0), {}, session.words)
    assert said == "€50 more than moving nothing, for 2 moves that cost under €1: worth it."


def test_the_work_of_moving_is_one_amount_wherever_it_stands(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    plan = of_moves(session, 9, 15_000.0, 20_000.0, 651.0)
    assert "moves that cost €7:" in worth_it(plan, {}, session.words)
    assert "about €7," in handling_words(plan, session.words)


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
        season.do(actions.ahead.save_market_day, day, wants)
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


NONE = SampledRange(0.0, 0.0, 0.0)


def of_moves(session: Session, count: int, brings: float, still: float, cost: float) -> Plan:
    """A plan of so many moves that brings so much more than nothing moved."""
    plan = session.plans.plan
    assert plan is not None
    line = replace(todays_move(session), expected_ready_share=0.8, second_grade=False)
    lines = tuple(
        replace(line, steps=line.steps[:1], fruit=float(n), expected_value_minor=1000.0)
        for n in range(count)
    )
    own, left = (
        PlanOutcome(SampledRange(0.0, value, 0.0), NONE, NONE, handling=paid)
        for value, paid in ((brings + still, cost), (still, 0.0))
    )
    return replace(plan, lines=lines, with_likely=own, as_it_is=left)


@pytest.mark.parametrize(
    ("gain", "cost", "said"),
    [
        (15000.0, 700.0, "€150 more than moving nothing, for 9 moves that cost €7: worth it."),
        (400.0, 700.0, "€4 for 9 moves that cost €7: not worth it."),
    ],
)
def test_it_is_held_to_moving_nothing(
    qtbot: QtBot, session: Session, gain: float, cost: float, said: str
) -> None:
    planned(qtbot, session)
    assert worth_it(of_moves(session, 9, gain, 20000.0, cost), {}, session.words) == said


def test_the_few_moves_that_bring_nearly_all_are_counted(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    plan = of_moves(session, 9, 400.0, 20000.0, 700.0)
    # Three would lose all their fruit if they stayed, the others next to nothing.
    delays = {line: Delay(None, 0.0 if n < 3 else 0.79) for n, line in enumerate(plan.lines)}
    assert moves_that_count(plan, delays) == 3
    said = worth_it(plan, delays, session.words)
    assert said.endswith("not worth it. 3 of them bring nearly all of it.")
    alike = {line: Delay(None, 0.0) for line in plan.lines}
    assert "nearly all" not in worth_it(plan, alike, session.words)
