"""Why crates stay where they are tonight, in words."""

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QCoreApplication

from ripenroom.season.day_sheet import Staying, StayReason
from ripenroom.window.planning.plan_words import (
    crates_words,
    day_words,
    market_words,
    place_words,
    share_words,
    what_words,
)
from ripenroom.window.session import Session
from ripenroom.window.today.item import Group, Item

_MOST_IN_A_PLACE = 40
"""Lines of one place; of what is more only the number is told."""


def stays_by_place(stays: Sequence[Staying], session: Session) -> tuple[Group, ...]:
    """What stays, under the names of the places where it does."""
    places: dict[str, list[Staying]] = {}
    for staying in stays:
        places.setdefault(staying.line.from_place_id, []).append(staying)
    return tuple(
        Group(place_words(place_id, session), _items(own, session), to_do=False)
        for place_id, own in places.items()
    )


def _items(stays: Sequence[Staying], session: Session) -> tuple[Item, ...]:
    # One line more takes no more room than the line that would stand for it.
    told = stays if len(stays) <= _MOST_IN_A_PLACE + 1 else stays[:_MOST_IN_A_PLACE]
    items = [stay_item(staying, session) for staying in told]
    if len(told) < len(stays):
        crates = crates_words(sum(staying.crates for staying in stays[len(told) :]))
        text = QCoreApplication.translate("Today", "{crates} more").format(crates=crates)
        items.append(Item(text, "", "queue:"))
    return tuple(items)


def stay_item(staying: Staying, session: Session) -> Item:
    """``"30 pawpaws, hard: 3 crates of P-0914-2"``, and what they wait for, or why for nothing."""
    line = staying.line
    headline = what_words(line, session, staying.crates)
    return Item(headline, _WORDS[staying.reason](staying, session), f"batch:{line.batch_id}")


def _market(staying: Staying, session: Session) -> str:
    return QCoreApplication.translate("Today", "For {market}: {share} ready").format(
        market=market_words(staying.line.market_day_id, session),
        share=session.words.share(staying.line.expected_ready_share),
    )


def _moves_later(staying: Staying, session: Session) -> str:
    assert staying.until is not None
    step = staying.line.next_step()
    said = QCoreApplication.translate("Today", "To {place} {day}").format(
        day=day_words(staying.until, session), place=place_words(step.to_place_id, session)
    )
    why = share_words(staying.line, session)
    return f"{said}; {why}" if why else said


def _second_grade(staying: Staying, session: Session) -> str:
    assert staying.until is not None
    return QCoreApplication.translate("Today", "To second grade {day}").format(
        day=day_words(staying.until, session)
    )


def _kept(staying: Staying, session: Session) -> str:
    if staying.market_day_id is None:
        return QCoreApplication.translate(
            "Today", "Keeps for a later market day that you have not entered yet"
        )
    return QCoreApplication.translate(
        "Today", "Not ready by {market}; keeps for a later market day that you have not entered yet"
    ).format(market=market_words(staying.market_day_id, session))


def _hopeless(staying: Staying, session: Session) -> str:
    return QCoreApplication.translate("Today", "Will never ripen: clear it when you like")


def _past(staying: Staying, session: Session) -> str:
    if staying.until is None:
        return QCoreApplication.translate("Today", "Past: use it up, or clear it when you like")
    return QCoreApplication.translate(
        "Today", "Past since {day}: use it up, or clear it when you like"
    ).format(day=session.words.day(staying.until))


def _no_market(staying: Staying, session: Session) -> str:
    said = QCoreApplication.translate("Today", "No market day ahead wants it")
    return _with_its_end(said, staying, session)


def _not_ready(staying: Staying, session: Session) -> str:
    said = QCoreApplication.translate(
        "Today", "Not ready by {market}, the last market day you entered"
    ).format(market=market_words(staying.market_day_id, session))
    return _with_its_end(said, staying, session)


def _too_late(staying: Staying, session: Session) -> str:
    said = QCoreApplication.translate("Today", "Too soft before the next market day")
    return _with_its_end(said, staying, session)


def _no_buyer(staying: Staying, session: Session) -> str:
    said = QCoreApplication.translate("Today", "For no market day")
    return _with_its_end(said, staying, session)


def _with_its_end(said: str, staying: Staying, session: Session) -> str:
    if staying.until is None:
        return said
    return QCoreApplication.translate("Today", "{why}; past from {day}").format(
        why=said, day=day_words(staying.until, session)
    )


_WORDS: Mapping[StayReason, Callable[[Staying, Session], str]] = {
    StayReason.MARKET: _market,
    StayReason.MOVES_LATER: _moves_later,
    StayReason.SECOND_GRADE: _second_grade,
    StayReason.KEPT: _kept,
    StayReason.HOPELESS: _hopeless,
    StayReason.PAST: _past,
    StayReason.NO_MARKET: _no_market,
    StayReason.NOT_READY: _not_ready,
    StayReason.TOO_LATE: _too_late,
    StayReason.NO_BUYER: _no_buyer,
}
