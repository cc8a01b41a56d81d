"""What is planned otherwise than yesterday, in plain sentences."""

from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.window.names import begun
from ripenroom.window.planning.plan_words import (
    crates_words,
    day_words,
    market_words,
    place_words,
)
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.update import PlanChange


def change_words(change: "PlanChange", session: Session) -> str:
    """One change as a sentence: which crates, what was planned for them, what is now."""
    from ripenroom.season.plans.update import ChangeKind

    texts = {
        ChangeKind.NEW_BATCH: QCoreApplication.translate("PlanWords", "{crates}, new: {now}."),
        ChangeKind.GONE: QCoreApplication.translate(
            "PlanWords", "{crates}: no longer there. Before: {before}."
        ),
        ChangeKind.EARLIER: QCoreApplication.translate(
            "PlanWords", "{crates}: moved earlier, {when} instead of {when_before}, {now}."
        ),
        ChangeKind.LATER: QCoreApplication.translate(
            "PlanWords", "{crates}: moved later, {when} instead of {when_before}, {now}."
        ),
        ChangeKind.OTHER_PLACE: QCoreApplication.translate(
            "PlanWords", "{crates}: now {now}. Before: {before}."
        ),
        ChangeKind.OTHER_MARKET: QCoreApplication.translate(
            "PlanWords", "{crates}: now {now}. Before: {before}."
        ),
        ChangeKind.SOLD_NOW: QCoreApplication.translate(
            "PlanWords", "{crates}: now {now}. Before: for no market day."
        ),
        ChangeKind.LEFT_OVER: QCoreApplication.translate(
            "PlanWords", "{crates}: now for no market day. Before: {before}."
        ),
        ChangeKind.MORE: QCoreApplication.translate("PlanWords", "{crates} more: {now}."),
        ChangeKind.FEWER: QCoreApplication.translate("PlanWords", "{crates} fewer: {before}."),
    }
    now = _way(
        change.market_day_id_after, change.pull_at_after, change.place_id_after, session,
        second_grade=change.second_grade,
    )  # fmt: skip
    before = _way(
        change.market_day_id_before, change.pull_at_before, change.place_id_before, session
    )
    said = texts[change.kind].format(
        crates=_crates(change, session),
        now=now,
        before=before,
        when=_when(change.pull_at_after, session),
        when_before=_when(change.pull_at_before, session),
    )
    return begun(said)


def _crates(change: "PlanChange", session: Session) -> str:
    book = session.season.book
    pick = book.expected_picks.get(change.expected_pick_id or "")
    batch = book.batches.get(change.batch_id)
    if pick is not None:
        of = QCoreApplication.translate("PlanWords", "the pick expected {day}").format(
            day=session.words.day(pick.on)
        )
    elif batch is not None:
        of = batch.code
    else:
        of = QCoreApplication.translate("PlanWords", "a batch that is gone")
    return QCoreApplication.translate("PlanWords", "{crates} of {fruit}").format(
        crates=crates_words(change.crates), fruit=of
    )


def _when(moment: datetime | None, session: Session) -> str:
    """The day of a move; fruit without one stays."""
    if moment is None:
        return QCoreApplication.translate("PlanWords", "not at all")
    return day_words(moment, session)


def _way(
    market_day_id: str | None,
    pull_at: datetime | None,
    place_id: str | None,
    session: Session,
    second_grade: bool = False,
) -> str:
    """``"to Ripening room Fri 2 Oct, for Quayside market, Sat 3 Oct"``."""
    parts = []
    place = place_words(place_id, session)
    if pull_at is not None and place:
        parts.append(
            QCoreApplication.translate("PlanWords", "to {place} {day}").format(
                place=place, day=day_words(pull_at, session)
            )
        )
    market = market_words(market_day_id, session)
    if market:
        parts.append(QCoreApplication.translate("PlanWords", "for {market}").format(market=market))
    elif second_grade:
        parts.append(QCoreApplication.translate("PlanWords", "for second grade"))
    if not parts:
        return QCoreApplication.translate("PlanWords", "to stay and wait")
    return ", ".join(parts)
