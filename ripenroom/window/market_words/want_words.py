"""One crop of a market day in words, for a listener, a printed page and the page "Today"."""

from PySide6.QtCore import QCoreApplication

from ripenroom.window.market_words.balance import (
    planned_words,
    ready_words,
    risk_words,
    supply_words,
    verdict_words,
)
from ripenroom.window.market_words.market_lines import WantLine
from ripenroom.window.market_words.sale_words import sale_words
from ripenroom.window.wording import Wording


def want_words(line: WantLine, words: Wording) -> str:
    """``"Pawpaw, 60 wanted · planned 60 · ready 52 (40–58): up to 20 short; some risk, 20 %"``."""
    if line.supply is None:
        return _over_words(line, words)
    said = supply_words(line.supply, words)
    risk = ""
    if line.planned is not None:
        risk = risk_words(line.planned, words)
        said = QCoreApplication.translate(
            "Balance", "{wanted} wanted · {planned} · {ready}"
        ).format(
            wanted=words.number(line.wanted),
            planned=planned_words(line.planned, words),
            ready=ready_words(line.supply, words),
        )
    verdict = "; ".join(text for text in (verdict_words(line.supply, words), risk) if text)
    return f"{line.crop}, {said}: {verdict}"


def _over_words(line: WantLine, words: Wording) -> str:
    wanted = QCoreApplication.translate("Balance", "{crop}, {wanted} wanted").format(
        crop=line.crop, wanted=words.number(line.wanted)
    )
    sale = sale_words(line.sale, words) if line.sale is not None else []
    return " · ".join([wanted, *sale])
