"""One crop of a market day in words, for a listener, a printed page and the page "Today"."""

from typing import TYPE_CHECKING

from ripenroom.season.findings import Supply, Verdict
from ripenroom.season.plans.plan import Risk
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.market_days.market_lines import WantOutlook, sale_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedMarket


def verdict_words(supply: Supply, words: Formats) -> str:
    """Shortage or surplus: ``"12–30 short"``, ``"up to 8 short"``, ``"enough"``."""
    missing_most = supply.wanted - supply.low
    found = supply.verdict
    if found is Verdict.SHORT:
        return tr("{range} short").format(
            range=words.number_range(supply.wanted - supply.high, missing_most)
        )
    if found is Verdict.TIGHT:
        return tr("up to {most} short").format(most=words.number(missing_most))
    if found is Verdict.SPARE:
        return tr("{range} to spare").format(
            range=words.number_range(supply.low - supply.wanted, supply.high - supply.wanted)
        )
    return tr("enough")


def supply_words(supply: Supply, words: Formats) -> str:
    """Both sides: ``"60 wanted · ready 72 (50–90)"``."""
    return tr("{wanted} wanted · {ready}").format(
        wanted=words.number(supply.wanted), ready=ready_words(supply, words)
    )


def ready_words(supply: Supply, words: Formats) -> str:
    """What is expected: ``"ready 72 (50–90)"``."""
    return tr("ready {ready} ({range})").format(
        ready=words.number(supply.ready), range=words.number_range(supply.low, supply.high)
    )


def risk_words(market: "PlannedMarket", words: Formats) -> str:
    """``"some risk, 35 %"``, ``"at risk, 80 %"``, or nothing."""
    text = {
        Risk.LITTLE: "",
        Risk.SOME: tr("some risk, {share}"),
        Risk.GREAT: tr("at risk, {share}"),
    }[market.at_risk]
    return text.format(share=words.share(market.risk))


def planned_words(market: "PlannedMarket", words: Formats) -> str:
    """How many fruit the plan brings: ``"planned 48"``."""
    return tr("planned {count}").format(count=words.number(market.planned))


def want_words(line: WantOutlook, words: Formats) -> str:
    """``"Pawpaw, 60 wanted · planned 60 · ready 52 (40–58): up to 20 short; some risk, 20 %"``."""
    if line.supply is None:
        return _over_words(line, words)
    said = supply_words(line.supply, words)
    risk = ""
    if line.planned is not None:
        risk = risk_words(line.planned, words)
        said = tr("{wanted} wanted · {planned} · {ready}").format(
            wanted=words.number(line.wanted),
            planned=planned_words(line.planned, words),
            ready=ready_words(line.supply, words),
        )
    verdict = "; ".join(text for text in (verdict_words(line.supply, words), risk) if text)
    return f"{line.crop}, {said}: {verdict}"


def _over_words(line: WantOutlook, words: Formats) -> str:
    wanted = tr("{crop}, {wanted} wanted").format(crop=line.crop, wanted=words.number(line.wanted))
    sale = sale_words(line.sale, words) if line.sale is not None else []
    return " · ".join([wanted, *sale])
