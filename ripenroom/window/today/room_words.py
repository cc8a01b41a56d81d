"""Words of what is done for want of room: crates that are cleared, or swapped."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.season.day_sheet import Carrying, Deed
from ripenroom.window.names import begun
from ripenroom.window.planning.plan_words import (
    by_words,
    fruit_of,
    place_words,
    share_words,
    what_words,
)
from ripenroom.window.session import Session
from ripenroom.window.today.item import Item

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import PlannedLine


def clear_item(deed: Deed, session: Session) -> Item:
    """``"12 pawpaws, soft: 2 crates of P-0914-2 from Cool shelf"``, and why just these."""
    clearing = deed.clearing
    assert clearing is not None
    line, since = clearing.line, clearing.past_since
    if since is None:
        why = QCoreApplication.translate("Today", "For no market day, and its room is needed")
    elif since <= session.season.now():
        why = QCoreApplication.translate("Today", "Past since {day}, and its room is needed")
        why = why.format(day=session.words.day(since))
    else:
        why = QCoreApplication.translate("Today", "Past by this evening, and its room is needed")
    headline = QCoreApplication.translate("Today", "{what} from {place}").format(
        what=what_words(line, session, clearing.crates),
        place=place_words(line.from_place_id, session),
    )
    spoken = QCoreApplication.translate("Today", "Clear {headline}").format(headline=headline)
    return Item(headline, why, f"batch:{line.batch_id}", spoken=spoken)


def swap_item(lines: "Sequence[PlannedLine]", session: Session) -> Item:
    """``"Swap 20 pawpaws, gives: 1 crate of A and … between Cold room and Cool shelf"``."""
    ways = [(one.from_place_id, one.next_step().to_place_id) for one in lines]
    here, there = ways[0]
    if set(ways) <= {(here, there), (there, here)}:
        headline = QCoreApplication.translate(
            "Today", "Swap {these} and {those} between {here} and {there}"
        ).format(
            these=_all_of([one for one in lines if one.from_place_id == here], session),
            those=_all_of([one for one in lines if one.from_place_id == there], session),
            here=place_words(here, session),
            there=place_words(there, session),
        )
    else:
        turns = [
            QCoreApplication.translate("Today", "{crates} from {here} to {there}").format(
                crates=what_words(one, session),
                here=place_words(one.from_place_id, session),
                there=place_words(one.next_step().to_place_id, session),
            )
            for one in lines
        ]
        headline = QCoreApplication.translate("Today", "Swap round {turns}").format(
            turns=", ".join(turns)
        )
    at = lines[0].next_step().pull_at
    told = [
        QCoreApplication.translate("Today", "{fruit} {why}").format(
            fruit=fruit_of(one, session), why=share_words(one, session)
        )
        for one in lines
        if share_words(one, session)
    ]
    parts = [
        by_words(at, session) if at is not None else "",
        QCoreApplication.translate(
            "Today", "both rooms are full: carry all of it out before any goes in"
        ),
        *told,
    ]
    batch_id = next((one.batch_id for one in lines if one.batch_id), "")
    return Item(headline, begun("; ".join(part for part in parts if part)), f"batch:{batch_id}")


def _all_of(lines: "Sequence[PlannedLine]", session: Session) -> str:
    return ", ".join(what_words(one, session) for one in lines)


def no_room_words(carrying: Carrying | None, session: Session) -> str:
    """That a pinned move does not fit; empty for all that do."""
    if carrying is None or carrying.room:
        return ""
    place = place_words(carrying.lines[0].next_step().to_place_id, session)
    return QCoreApplication.translate(
        "Today", "there is no room for it in {place}: clear something there, or leave it here"
    ).format(place=place)
