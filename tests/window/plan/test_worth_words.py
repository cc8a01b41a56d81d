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
    account_text,
    amounts,
    any_kept,
    at_risk,
    gap_words,
    moves_that_count,
    rows,
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

    return PlanOutcome(about(value), about(sold), about(1.0), carried=2)


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
            "This plan comes to €50 more than the best simple rule, “Soonest past first”.",
        ),
        (
            (20_000.0, 100.0),
            (20_000.0, 90.0),
            "The simple rule “Soonest past first” does about as well.",
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


def test_the_sentences_are_differences_of_the_totals_shown(session: Session, plan: Plan) -> None:
    """What is kept and the work can turn what is sold: the plan sells for less than a rule here,
    and is better all the same."""
    held = held_to(plan, (16_340.0, 60.0), (16_860.0, 70.0))
    ours = replace(held.with_likely, later=4_940.0, handling=270.0)
    best = replace(held.first_expired_first_out, later=3_260.0, handling=240.0)
    left = replace(outcome(9_980.0, 30.0), later=5_040.0)
    held = replace(held, with_likely=ours, first_expired_first_out=best, as_it_is=left)
    words = session.words
    assert [amounts(one, words) for one in (ours, best, left)] == [
        (163, 49, 3),
        (169, 33, 2),
        (100, 50, 0),
    ]
    assert account_text("This plan", ours, words, kept=True) == (
        "This plan: sold €163 (131–196) + €49 kept for later at half price − €3 for moving crates "
        "= €209"
    )
    said = verdict(held, words)
    assert said == "This plan comes to €9 more than the best simple rule, “Soonest past first”."
    gain = worth_it(held, {}, words)
    assert gain == "€59 more than moving nothing, after moving 2 crates (€3): worth it."


@pytest.mark.parametrize("later", [0.0, 5_000.0])
def test_what_is_kept_is_a_column_only_where_something_is(
    session: Session, plan: Plan, later: float
) -> None:
    held = held_to(plan, (20_000.0, 100.0), (15_000.0, 90.0))
    held = replace(held, with_likely=replace(held.with_likely, later=later))
    kept = any_kept(held, session.words)
    assert kept is bool(later)
    (name, own), *_ = rows(held)
    total = "= €250" if later else "= €200"
    said = account_text(name, own, session.words, kept)
    assert ("kept for later" in said) is bool(later)
    assert said.endswith(total)


def test_a_plan_without_moves_claims_no_gain(session: Session, plan: Plan) -> None:
    """A rule sells for more, but the work of its moves takes that off again."""
    still = tuple(replace(line, steps=(), second_grade=False) for line in plan.lines)
    held = replace(held_to(plan, (5_800.0, 60.0), (7_200.0, 70.0)), lines=still)
    dear = replace(held.first_expired_first_out, handling=2_000.0)
    own = replace(held.with_likely, carried=0)
    held = replace(held, with_likely=own, first_expired_first_out=dear)
    held = replace(held, as_it_is=outcome(5_200.0, 60.0))
    assert worth_it(held, {}, session.words) == "No move is needed."
    assert verdict(held, session.words) == ""


def test_a_rule_that_moves_nothing_is_not_told_twice(session: Session, plan: Plan) -> None:
    held = replace(held_to(plan, (20_000.0, 60.0), (0.0, 0.0)), as_it_is=outcome(15_000.0, 60.0))
    assert worth_it(held, {}, session.words).startswith("€50 more than moving nothing,")
    assert verdict(held, session.words) == "No simple rule does better than moving nothing."


def test_what_moving_is_worth_is_what_the_table_shows(qtbot: QtBot, session: Session) -> None:
    """149.6 less 100.4 is 49.2, but who takes €100 from €150 finds €50."""
    planned(qtbot, session)
    said = worth_it(of_moves(session, 2, 4_920.0, 10_040.0, 30.0), {}, session.words)
    assert said == "€50 more than moving nothing, after moving 2 crates (under €1): worth it."


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
    assert said.endswith(f": no {crop}, 40 wanted")
    assert at_risk(replace(plan, markets=(replace(market, risk=0.1),)), session) == []
    filled = replace(nothing, likely=29.4)
    (said,) = at_risk(replace(plan, markets=(filled,)), session)
    assert said.endswith(f": no {crop}, 40 wanted, about 30 more from likely picks")


NONE = SampledRange(0.0, 0.0, 0.0)


def of_moves(session: Session, count: int, brings: float, still: float, cost: float) -> Plan:
    """A plan of so many moves that brings so much more than nothing moved."""
    plan = session.plans.plan
    assert plan is not None
    line = replace(todays_move(session), expected_ready_share=0.8, second_grade=False)
    lines = tuple(
        replace(line, crates=1, steps=line.steps[:1], fruit=float(n), expected_value_minor=1000.0)
        for n in range(count)
    )
    own, left = (
        PlanOutcome(SampledRange(0.0, value, 0.0), NONE, NONE, handling=paid, carried=moved)
        for value, paid, moved in ((brings + still, cost, count), (still, 0.0, 0))
    )
    return replace(plan, lines=lines, with_likely=own, as_it_is=left)


@pytest.mark.parametrize(
    ("gain", "cost", "said"),
    [
        (
            15000.0,
            700.0,
            "€143 more than moving nothing, after moving 9 crates (€7): worth it.",
        ),
        (
            400.0,
            700.0,
            "€3 less than moving nothing, after moving 9 crates (€7): not worth it.",
        ),
        (
            700.0,
            700.0,
            "No more than moving nothing, after moving 9 crates (€7): not worth it.",
        ),
    ],
)
def test_it_is_held_to_moving_nothing(
    qtbot: QtBot, session: Session, gain: float, cost: float, said: str
) -> None:
    planned(qtbot, session)
    assert worth_it(of_moves(session, 9, gain, 20000.0, cost), {}, session.words) == said


def test_crates_that_are_said_to_move_are_those_whose_work_is_counted(session: Session) -> None:
    """Written moves are made in any case, and what is sold as second grade is moved by nobody."""
    season = session.season
    season.do(actions.season.save, replace(season.book.season, crate_move_minor=1000))
    update = season.ask.plan()
    assert update is not None
    plan = update.plan
    assert any(line.second_grade for line in plan.lines)
    assert plan.with_likely.handling == 1000 * plan.with_likely.carried
    none = replace(plan, with_likely=replace(plan.with_likely, carried=0, handling=0.0))
    assert any(line.steps for line in none.lines)
    beyond = "No move is worth its work beyond those you entered."
    assert worth_it(none, {}, session.words) == beyond
    still = tuple(replace(line, steps=()) for line in none.lines)
    stays = "No move is worth its work: crates stay where they are until they are sold."
    assert worth_it(replace(none, lines=still), {}, session.words) == stays
    assert worth_it(replace(none, lines=()), {}, session.words) == ""


def test_the_few_moves_that_bring_nearly_all_are_counted(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    plan = of_moves(session, 9, 400.0, 20000.0, 700.0)
    # Three would lose all their fruit if they stayed, the others next to nothing.
    delays = {line: Delay(None, 0.0 if n < 3 else 0.79) for n, line in enumerate(plan.lines)}
    assert moves_that_count(plan, delays) == 3
    said = worth_it(plan, delays, session.words)
    assert said.endswith("not worth it. Nearly all that they bring comes from 3 of them.")
    alike = {line: Delay(None, 0.0) for line in plan.lines}
    assert "early all" not in worth_it(plan, alike, session.words)
