"""How the plan stands, in a line: planning, none, or what of it cannot be kept."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.records.book import Book
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import BrokenPin, BrokenPinReason


def plan_state_words(session: Session) -> str:
    """What is to be known of the plan beside its drawing; empty if that says everything."""
    plans, season = session.plans, session.season
    if plans.working:
        if plans.plan is None:
            return QCoreApplication.translate("PlanState", "Planning…")
        return QCoreApplication.translate("PlanState", "Planning again…")
    if plans.failed is not None:
        return QCoreApplication.translate(
            "PlanState",
            "No plan could be made. The batches and their eat-by windows are not touched by that.",
        )
    if plans.plan is None:
        return ""
    if not any(day.starts_at > season.now() for day in season.book.market_days.values()):
        return QCoreApplication.translate(
            "PlanState", "Nothing is planned: no market day lies ahead."
        )
    broken = plans.plan.broken_pins
    there = (one for one in broken if one.pin_id in season.book.pins)
    return " ".join(_broken_words(one, season.book) for one in there)


def _broken_words(broken: "BrokenPin", book: Book) -> str:
    batch = book.batches.get(book.pins[broken.pin_id].batch_id)
    return QCoreApplication.translate(
        "PlanState", "A pin of {code} cannot be kept: {reason}."
    ).format(code=batch.code if batch else "?", reason=broken_words(broken.reason))


def broken_words(reason: "BrokenPinReason") -> str:
    """Why a pin cannot be kept."""
    return {
        "batch gone": QCoreApplication.translate("PlanState", "the batch is gone"),
        "fewer crates": QCoreApplication.translate("PlanState", "it has fewer crates left"),
        "market over": QCoreApplication.translate("PlanState", "the market day is over"),
        "place gone": QCoreApplication.translate("PlanState", "the place is gone"),
        "pull over": QCoreApplication.translate("PlanState", "the time of the pull is over"),
        "moved later": QCoreApplication.translate("PlanState", "a move of it is written down"),
        "pull after market": QCoreApplication.translate(
            "PlanState", "the pull comes after the market day"
        ),
    }[reason.value]
