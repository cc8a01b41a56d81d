"""What a plan comes to, in words: money, beside simple rules, and what its moves are worth."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.likely_fruit import more_likely_words
from ripenroom.wording.names import fruit_name
from ripenroom.wording.plan.itineraries import market_words
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.planning.evaluate import PlanOutcome, SampledRange
    from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMarket
    from ripenroom.season.plans.update import Delay


MINUS = "\N{MINUS SIGN}"

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


class Amounts(NamedTuple):
    """What a plan or a rule comes to as it is shown, in whole units of the currency: what is
    ``sold``, what fruit ``kept`` for later counts, and the ``work`` of moving crates."""

    sold: int
    kept: int
    work: int

    @property
    def total(self) -> int:
        """What it comes to. Whoever adds up what is shown finds the same."""
        return self.sold + self.kept - self.work


def amounts(outcome: "PlanOutcome", words: Formats) -> Amounts:
    """An outcome in whole units: it is a forecast."""
    unit = 10**words.season.currency_decimals
    paid = outcome.value.mean, outcome.later, outcome.handling
    return Amounts(*(round(minor / unit) for minor in paid))


def money_about(minor: float, words: Formats) -> str:
    """An amount without cents: it is a forecast."""
    return words.in_currency(_whole(minor, words))


def _units(whole: int, words: Formats) -> str:
    """An amount in whole units of the currency."""
    return words.in_currency(words.number(whole))


def under_one(minor: float, words: Formats) -> str:
    """One unit of the currency where an amount is nearer to none, to be told as under that."""
    whole = round(minor / 10**words.season.currency_decimals)
    return "" if whole >= 1 else words.in_currency(words.number(1))


def worth_text(drawn: "SampledRange", words: Formats) -> str:
    """``"€224 (102–317)"``."""
    low, high = _whole(drawn.low, words), _whole(drawn.high, words)
    return words.in_currency(f"{_whole(drawn.mean, words)} ({low}–{high})")


def kept_text(outcome: "PlanOutcome", words: Formats) -> str:
    """``"+ €12"``: what fruit that is kept for later adds."""
    return f"+ {_units(amounts(outcome, words).kept, words)}"


def work_text(outcome: "PlanOutcome", words: Formats) -> str:
    """``"− €7"``: what the work of moving crates takes off."""
    return f"{MINUS} {_units(amounts(outcome, words).work, words)}"


def total_text(outcome: "PlanOutcome", words: Formats) -> str:
    """``"= €229"``: what that comes to."""
    return f"= {_units(amounts(outcome, words).total, words)}"


def any_kept(plan: "Plan", words: Formats) -> bool:
    """Whether what is kept for later counts in any of :func:`rows`."""
    return any(amounts(outcome, words).kept for _, outcome in rows(plan))


def account_text(name: str, outcome: "PlanOutcome", words: Formats, kept: bool) -> str:
    """``"This plan: sold €224 (102–317) + €12 kept for later at half price − €7 for moving crates
    = €229"``, a row of :func:`rows`; what is ``kept`` where that is told."""
    said = tr("{name}: sold {sold} {work} for moving crates {total}")
    if kept:
        said = tr(
            "{name}: sold {sold} {kept} kept for later at half price {work} for moving crates "
            "{total}"
        )
    return said.format(
        name=name,
        sold=worth_text(outcome.value, words),
        kept=kept_text(outcome, words),
        work=work_text(outcome, words),
        total=total_text(outcome, words),
    )


def fruit_text(drawn: "SampledRange", words: Formats) -> str:
    """``"164 (89–231)"``."""
    return f"{words.number(drawn.mean)} ({words.number_range(drawn.low, drawn.high)})"


def _whole(minor: float, words: Formats) -> str:
    return words.number(minor / 10**words.season.currency_decimals)


def verdict(plan: "Plan", words: Formats) -> str:
    """Whether the plan is better than the best simple rule, said plainly where it is not.

    Amounts differ by what their totals in :func:`rows` do. A plan without moves gains nothing by
    moving, so that it claims no gain.
    """
    own, moves = plan.with_likely, plan.with_likely.carried
    name, rule = max(rows(plan)[1:], key=lambda row: row[1].net)
    if own.value.mean <= 0.0 and rule.value.mean <= 0.0:
        return tr("Nothing can be sold as things stand.")
    more = amounts(own, words).total - amounts(rule, words).total
    if not moves and more >= 0:
        return ""
    if moves and rule == plan.as_it_is:  # to which :func:`worth_it` holds it
        return tr("No simple rule does better than moving nothing.")
    if more == 0 or abs(own.net - rule.net) <= _AS_GOOD * max(own.net, rule.net):
        return tr("The simple rule “{rule}” does about as well.").format(rule=name)
    if more < 0:
        said = tr("The simple rule “{rule}” does better here, by {money}.")
        return said.format(rule=name, money=_units(-more, words))
    said = tr("This plan comes to {money} more than the best simple rule, “{rule}”.").format(
        rule=name, money=_units(more, words)
    )
    fewer = rule.sold.mean - own.sold.mean
    if fewer > 0.5 and own.value.mean > rule.value.mean:
        sells = tr("It sells {fruit} fewer fruit, at better prices.")
        return f"{said} {sells.format(fruit=words.number(fewer))}"
    return said


def likely_words(plan: "Plan") -> str:
    """That picks which are only likely count where the plan is compared; empty without any."""
    if not plan.likely:
        return ""
    return tr("Picks that are only likely count in these figures, on no other page.")


def work_note() -> str:
    """Where a grower says what the work of moving costs."""
    return tr("Set what a crate moved costs under File, Season details.")


def gap_words(plan: "Plan", words: Formats) -> str:
    """How much more another plan could bring at most; empty where that is next to nothing."""
    if plan.at_once or plan.gap <= _NEAR or plan.outcome.value.mean <= 0.0:
        return ""
    return tr("Another plan could bring {share} more at most.").format(
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
        said = tr("no {crop}, {wanted} wanted")
    elif market.risk > _CERTAIN:
        said = tr("only {ready} {crop} ({range}) of {wanted} wanted")
    else:
        said = tr("{ready} {crop} ({range}) of {wanted} wanted, {risk} risk of too few")
    said = said.format(
        crop=fruit_name(reader.season.crops, market.crop),
        wanted=words.number(market.wanted),
        ready=words.number(market.ready.mid),
        range=words.number_range(market.ready.low, market.ready.high),
        risk=words.share(market.risk),
    )
    likely = more_likely_words(market.likely, words)
    return f"{said}, {likely}" if likely else said


def says_too_few(plan: "Plan") -> bool:
    """Whether :func:`at_risk` speaks of a risk of too few, which asks for what that means."""
    return any(
        AT_RISK <= market.risk <= _CERTAIN and market.wanted > 0 and market.planned >= 0.5
        for market in plan.markets
    )


_NEARLY_ALL = 0.9
"""So large a part of what all moves bring is nearly all of it."""


def worth_it(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]", words: Formats) -> str:
    """``"€143 more than moving nothing, after moving 11 crates (€7): worth it. Nearly
    all that they bring comes from 3 of them."``; without moves, that none is needed, or that none
    pays its work. Of every plan that has crates one sentence says it.

    The crates are those whose work is counted: not those that move in any case, as written down,
    nor those that are sold as second grade.
    """
    moves = plan.with_likely.carried
    if not moves:
        return _without_moves(plan)
    own, still = plan.with_likely, plan.as_it_is
    gain = amounts(own, words).total - amounts(still, words).total
    if gain > 0:
        said = tr_n(
            "{gain} more than moving nothing, after moving {n} crate ({cost}): worth it.",
            "{gain} more than moving nothing, after moving {n} crates ({cost}): worth it.",
            moves,
        )
    elif gain == 0:
        said = tr_n(
            "No more than moving nothing, after moving {n} crate ({cost}): not worth it.",
            "No more than moving nothing, after moving {n} crates ({cost}): not worth it.",
            moves,
        )
    else:
        said = tr_n(
            "{gain} less than moving nothing, after moving {n} crate ({cost}): not worth it.",
            "{gain} less than moving nothing, after moving {n} crates ({cost}): not worth it.",
            moves,
        )
    sentence = said.format(gain=_units(abs(gain), words), cost=_cost_about(own.handling, words))
    few = moves_that_count(plan, if_left)
    brings = own.value.mean + own.later - still.value.mean - still.later
    if brings <= 0.0 or not few or 2 * few > moves:
        return sentence
    best = tr("Nearly all that they bring comes from {few} of them.")
    return f"{sentence} {best.format(few=words.number(few))}"


def _without_moves(plan: "Plan") -> str:
    """Why nothing is moved but what is moved in any case; empty where there are no crates."""
    if any(line.steps for line in plan.lines):
        return tr("No move is worth its work beyond those you entered.")
    if any(line.second_grade for line in plan.lines):
        return tr("No move is worth its work: crates stay where they are until they are sold.")
    return tr("No move is needed.") if plan.lines else ""


def moves_that_count(plan: "Plan", if_left: "Mapping[PlannedItinerary, Delay]") -> int:
    """How many crates that the plan moves bring nearly all that its moves bring, the best first,
    each as often as it is moved. What a move brings is what of its fruit would not be ready if it
    stayed; 0 where nothing is known.
    """
    gains = []
    for line in plan.lines:
        delay, share = if_left.get(line), line.expected_ready_share
        if delay is None or share <= 0.0:
            continue
        lost = max(1.0 - delay.never / share, 0.0) * line.expected_value_minor
        gains.append((lost, line.crates * len(line.steps)))
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
