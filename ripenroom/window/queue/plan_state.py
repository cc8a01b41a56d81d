"""How the plan stands, in a line: planning, none, or what of it cannot be kept."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.records.book import Book

if TYPE_CHECKING:
    from ripenroom.season.planned import BrokenPin
    from ripenroom.window.planning.runner import PlanRunner


def plan_state_words(plans: "PlanRunner", book: Book, market_days_ahead: int) -> str:
    """What is to be known of the plan beside its drawing; empty if that says everything."""
    if plans.working:
        if plans.plan is None:
            return QCoreApplication.translate("Queue", "Planning…")
        return QCoreApplication.translate("Queue", "Planning anew…")
    if plans.failed is not None:
        return QCoreApplication.translate(
            "Queue",
            "No plan could be made. The batches and their eat-by windows are not touched by that.",
        )
    if plans.plan is None:
        return ""
    if not market_days_ahead:
        return QCoreApplication.translate("Queue", "Nothing is planned: no market day lies ahead.")
    broken = plans.plan.broken_pins
    return " ".join(_broken_words(one, book) for one in broken if one.pin_id in book.pins)


def _broken_words(broken: "BrokenPin", book: Book) -> str:
    batch = book.batches.get(book.pins[broken.pin_id].batch_id)
    reason = {
        "batch gone": QCoreApplication.translate("Queue", "the batch is gone"),
        "fewer crates": QCoreApplication.translate("Queue", "it has fewer crates left"),
        "market over": QCoreApplication.translate("Queue", "the market day is over"),
        "place gone": QCoreApplication.translate("Queue", "the place is gone"),
        "pull over": QCoreApplication.translate("Queue", "the time of the pull is over"),
        "moved later": QCoreApplication.translate("Queue", "a move of it is written down"),
        "pull after market": QCoreApplication.translate(
            "Queue", "the pull comes after the market day"
        ),
    }[broken.reason.value]
    return QCoreApplication.translate("Queue", "A pin of {code} cannot be kept: {reason}.").format(
        code=batch.code if batch else "?", reason=reason
    )
