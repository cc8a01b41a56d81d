"""What a plan comes to, in words: money, beside simple rules, and what its moves are worth."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import fruit_name
from ripenroom.wording.plan.itineraries import market_words
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.planning.evaluate import PlanOutcome, SampledRange
    from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMarket
    from ripenroom.season.plans.update import Delay


AT_RISK = 0.2
"""From this chance on, that a market day gets too little, it is told."""

_CERTAIN = 0.95
"""Beyond this chance a market day that gets too little is no risk any more."""

_NEAR = 0.01
"""A plan that is farther than this part from what no plan can exceed is said to be so."""

_AS_GOOD = 0.005
"""Plans whose worth differs by less than this part are equally good: no one could tell."""


def rows(plan: "Plan") -> list[tuple[str, "PlanOutcome"]]:
    """The plan and the rules that it is held to, each with its name and what becomes of it, likely
    picks counted in all."""
    return [
        (tr("This plan"), plan.with_likely),
        (
            tr("Oldest pick first"),
            plan.first_in_first_out,
        ),
        (
            tr("Soonest past first"),
            plan.first_expired_first_out,
        ),
        (tr("As it is, nothing moved"), plan.as_it_is),
    ]


def money_about(minor: float, words: Formats) -> str:
    """An amount without cents: it is a forecast."""
    return words.in_currency(_whole(minor, words))


def under_one(minor: float, words: Formats) -> str:
    """One unit of the currency where an amount is nearer to none, to be told as under that."""
    whole = round(minor / 10**words.season.currency_decimals)
    return "" if whole >= 1 else words.in_currency(words.number(1))


def worth_text(drawn: "SampledRange", words: Formats) -> str:
    """``"€224 (102–317)"``."""
    low, high = _whole(drawn.low, words), _whole(drawn.high, words)
    return words.in_currency(f"{_whole(drawn.mean, words)} ({low}–{high})")


def fruit_text(drawn: "SampledRange", words: Formats) -> str:
    """``"164 (89–231)"``."""
    return f"{words.number(drawn.mean)} ({words.number_range(drawn.low, drawn.high)})"


def _whole(minor: float, words: Formats) -> str:
    return words.number(minor / 10**words.season.currency_decimals)


def verdict(plan: "Plan", words: Formats) -> str:
    """Whether the plan is better than the best simple rule, said plainly where it is not.

    The work of moving crates, and what fruit that is kept for later counts (:func:`half_words`),
    are in both. Where that makes them differ otherwise than the figures of :func:`rows` do, both
    are told with it. A plan without moves gains nothing by moving, so that it claims no gain.
    """
    own = plan.with_likely
    rules = rows(plan)[1:]
    name, rule = max(rules, key=lambda row: row[1].net)
    if own.value.mean <= 0.0 and rule.value.mean <= 0.0:
        return tr("Nothing can be sold as things stand.")
    # Of what is shown, so that whoever takes one from the other finds the same.
    more = _apart(own.net, rule.net, words)
    shown = _apart(own.value.mean, rule.value.mean, words)
    if more >= 0 and not _moves_in(plan):
        return _outsold(own, rules, words)
    outsold = _outsold(own, rules, words, rule) if more >= 0 else ""
    if abs(own.net - rule.net) <= _AS_GOOD * max(own.net, rule.net) or more == 0:
        as_well = tr("The simple rule “{rule}” does as well.").format(rule=name)
        if shown != 0:
            as_well = f"{_with_all_that_counts(own, rule, words)} {as_well}"
        return f"{as_well} {outsold}".rstrip()
    if more < 0:
        said = tr("The simple rule “{rule}” does better here, by {money}.")
    else:
        said = tr("That is {money} more than the best simple rule, “{rule}”.")
    said = said.format(rule=name, money=money_about(abs(more), words))
    if more != shown:
        said = f"{_with_all_that_counts(own, rule, words)} {said}"
    fruit = own.sold.mean - rule.sold.mean
    if more > 0 and fruit < -0.5:
        fewer = tr("It sells {fruit} fewer fruit, at better prices.").format(
            fruit=words.number(-fruit)
        )
        said = f"{said} {fewer}"
    return f"{said} {outsold}".rstrip()


def _outsold(
    own: "PlanOutcome",
    rules: "Sequence[tuple[str, PlanOutcome]]",
    words: Formats,
    said: "PlanOutcome | None" = None,
) -> str:
    """Why a rule that sells for more than the plan is no better; empty if none does, or if that is
    the one of which all is ``said`` already."""
    name, rule = max(rules, key=lambda row: row[1].value.mean)
    if rule is said or _apart(rule.value.mean, own.value.mean, words) <= 0:
        return ""
    return tr(
        "“{rule}” sells for more, but less the work of moving crates it comes to {money}, this "
        "plan to {ours}."
    ).format(rule=name, money=money_about(rule.net, words), ours=money_about(own.net, words))


def _apart(one: float, other: float, words: Formats) -> int:
    """By how much an amount is more than another as they are shown (minor units)."""
    unit = 10**words.season.currency_decimals
    return int((round(one / unit) - round(other / unit)) * unit)


def _with_all_that_counts(own: "PlanOutcome", rule: "PlanOutcome", words: Formats) -> str:
    """What the plan and a rule come to with all that their comparison counts."""
    return tr(
        "Less the work of moving crates, this plan comes to {ours} and the best simple rule to "
        "{best}."
    ).format(ours=money_about(own.net, words), best=money_about(rule.net, words))


def _differ(one: float, other: float, words: Formats) -> bool:
    """Whether amounts differ as they are shown."""
    return _whole(one, words) != _whole(other, words)


def likely_words(plan: "Plan") -> str:
    """That picks which are only likely count where the plan is compared; empty without any."""
    if not plan.likely:
        return ""
    return tr("Picks that are only likely are counted here, but on no other page.")


def handling_words(plan: "Plan", words: Formats) -> str:
    """What the work of the plan's moves counts as, which its worth does not hold."""
    return tr(
        "Worth is what buyers should pay; the work of moving crates, about {money}, is not taken "
        "off. Set what it costs under File, Season details."
    ).format(money=money_about(plan.with_likely.handling, words))


def gap_words(plan: "Plan", words: Formats) -> str:
    """How much more another plan could bring at most; empty where that is next to nothing."""
    if plan.at_once or plan.gap <= _NEAR or plan.outcome.value.mean <= 0.0:
        return ""
    return tr("A better plan would bring {share} more at most.").format(
        share=words.share(plan.gap / max(1.0 - plan.gap, _NEAR))
    )


def unpriced(reader: Reader) -> str:
    """What to say where no price is written down; empty where there is one."""
    season = reader.season
    ahead = {d.id for d in season.book.market_days.values() if d.starts_at > season.now()}
    wants = [want for want in season.book.wants.values() if want.market_day_id in ahead]
    if not wants or any(want.price_minor is not None for want in wants):
        return ""
    return tr("No prices are entered, so every fruit counts the same.")


def at_risk(plan: "Plan", reader: Reader) -> list[str]:
    """A sentence on each market day that may get too little of a crop, in their order."""
    days = reader.season.book.market_days
    found: dict[str, list[str]] = {}
    for market in plan.markets:
        if market.risk >= AT_RISK and market.wanted > 0 and market.market_day_id in days:
            found.setdefault(market.market_day_id, []).append(_risk(market, reader))
    return [
        tr("{market}: {crops}").format(
            market=market_words(day_id, reader), crops="; ".join(found[day_id])
        )
        for day_id in sorted(found, key=lambda day_id: days[day_id].starts_at)
    ]


def _risk(market: "PlannedMarket", reader: Reader) -> str:
    words = reader.words
    if market.planned < 0.5:
        said = tr("no {crop} of {wanted} wanted")
    elif market.risk > _CERTAIN:
        said = tr("only {ready} {crop} ({range}) of {wanted} wanted")
    else:
        said = tr("{ready} {crop} ({range}) of {wanted} wanted, {risk} risk of too few")
    return said.format(
        crop=fruit_name(reader.season.crops, market.crop),
        wanted=words.number(market.wanted),
        ready=words.number(market.ready.mid),
        range=words.number_range(market.ready.low, market.ready.high),
        risk=words.share(market.risk),
    )


def says_too_few(plan: "Plan") -> bool:
    """Whether :func:`at_risk` speaks of a risk of too few, which asks for what that means."""
    return any(
        AT_RISK <= market.risk <= _CERTAIN and market.wanted > 0 and market.planned >= 0.5
        for market in plan.markets
    )


_NEARLY_ALL = 0.9
"""So large a part of what all moves bring is nearly all of it."""


def worth_it(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]", words: Formats) -> str:
    """``"€150 more than moving nothing, for 11 moves that cost €7: worth it. 3 of them bring nearly
    all of it."``; without moves, that none is needed."""
    moves = _moves_in(plan)
    if not moves:
        return tr("No move is needed.") if plan.lines else ""
    own, still = plan.with_likely, plan.as_it_is
    kept = _differ(own.later, still.later, words)
    ours, theirs = (one.value.mean + (one.later if kept else 0.0) for one in (own, still))
    gain = own.value.mean + own.later - still.value.mean - still.later
    # Of what is shown, so that whoever takes one from the other finds the same.
    shown = money_about(max(_apart(ours, theirs, words), 0), words)
    said = tr_n(
        "{gain} more than moving nothing, for {n} move that costs {cost}: worth it.",
        "{gain} more than moving nothing, for {n} moves that cost {cost}: worth it.",
        moves,
    )
    if gain <= own.handling:
        said = tr_n(
            "{gain} for {n} move that costs {cost}: not worth it.",
            "{gain} for {n} moves that cost {cost}: not worth it.",
            moves,
        )
    sentence = said.format(gain=shown, cost=_cost_about(own.handling, words))
    few = moves_that_count(plan, if_left)
    if gain <= 0.0 or not few or 2 * few > moves:
        return sentence
    best = tr_n("{n} of them brings nearly all of it.", "{n} of them bring nearly all of it.", few)
    return f"{sentence} {best}"


def half_words(plan: "Plan", words: Formats) -> str:
    """How fruit that is kept for later counts in :func:`worth_it` and :func:`verdict`; empty where
    it makes no difference there."""
    own, *rules = (outcome for _, outcome in rows(plan))
    if all(rule.value.mean <= 0.0 for rule in (own, *rules)):
        return ""
    if not any(_differ(own.later, rule.later, words) for rule in rules):
        return ""
    return tr("These figures count fruit that is kept for later at half its price.")


def moves_that_count(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]") -> int:
    """How many of the plan's moves bring nearly all that its moves bring, the best first; what a
    move brings is what of its fruit would not be ready if it stayed. 0 where nothing is known."""
    gains = []
    for line in plan.lines:
        delay, share = if_left.get(line), line.expected_ready_share
        if delay is None or share <= 0.0:
            continue
        lost = max(1.0 - delay.never / share, 0.0) * line.expected_value_minor
        gains.append((lost, _moves(line)))
    whole, so_far, moves = sum(lost for lost, _ in gains), 0.0, 0
    if whole <= 0.0:
        return 0
    for lost, steps in sorted(gains, key=lambda gain: -gain[0] / gain[1]):
        so_far, moves = so_far + lost, moves + steps
        if so_far >= _NEARLY_ALL * whole:
            break
    return moves


def _cost_about(minor: float, words: Formats) -> str:
    """An amount without cents as well, but what costs anything does not read as 0."""
    if minor > 0.0 and (one := under_one(minor, words)):
        return tr("under {money}").format(money=one)
    return money_about(minor, words)


def _moves_in(plan: "Plan") -> int:
    return sum(_moves(line) for line in plan.lines)


def _moves(line: "PlannedItinerary") -> int:
    """How often crates of a line are carried before they are sold."""
    return len(line.steps) + line.second_grade if line.batch_id else 0
