"""Making, changing and deleting market days."""

from collections.abc import Sequence
from datetime import datetime

from ripenroom.records.book import Book, Record
from ripenroom.records.checking import checked
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import (
    LONGEST_WAIT,
    Action,
    require_in_season,
    tidy,
)
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import tr, tr_n


def wants_of(book: Book, market_day_id: str) -> list[Want]:
    """What a market day wants, in the order of crops."""
    found = (w for w in book.wants.values() if w.market_day_id == market_day_id)
    return sorted(found, key=lambda w: w.crop)


def save(state: SeasonState, day: MarketDay, wants: Sequence[Want]) -> Action:
    """Make or change a market day; its wants are replaced by the given ones."""
    book, now = state.book, state.now
    day = tidy(day)
    require_in_season("starts_at", day.starts_at, book)
    _require_near("starts_at", day.starts_at, book, now)
    if day.starts_at > now and any(b.market_day_id == day.id for b in book.brought.values()):
        raise Refusal(
            "starts_at", "Fruit was brought to it already, so it cannot be still to come."
        )
    seen: set[str] = set()
    for want in wants:
        checked(want)
        if want.crop not in state.crops:
            raise Refusal("crop", "There is no crop “{crop}” here.", crop=want.crop)
        if want.crop in seen:
            raise Refusal("crop", "“{crop}” is wanted twice: put it on one line.", crop=want.crop)
        seen.add(want.crop)
    kept = {want.id for want in wants}
    dropped = [w for w in wants_of(book, day.id) if w.id not in kept]
    known = day.id in book.market_days
    label = tr("change of {what}") if known else tr("new market day {what}")
    return Action(label.format(what=day.name), (day, *wants), tuple(dropped))


def save_all(state: SeasonState, days: Sequence[tuple[MarketDay, Sequence[Want]]]) -> Action:
    """Make several market days in one action, such as a weekly market."""
    actions = [save(state, *day) for day in days]
    label = actions[0].label
    if len(actions) > 1:
        label = tr_n("{n} market day", "{n} market days", len(actions))
    put = [record for action in actions for record in action.put]
    return Action(label, tuple(put), tuple(r for action in actions for r in action.deleted))


def _require_near(field: str, at: datetime, book: Book, now: datetime) -> None:
    first = start_of_day(book.season.first_day, zone_of(book.season))
    if at > max(first, now) + LONGEST_WAIT:
        raise Refusal(
            field,
            "This is more than {days} days ahead. Fix the date.",
            days=LONGEST_WAIT.days,
        )


def delete(state: SeasonState, market_day_id: str) -> Action:
    """Delete a market day to which nothing came yet, with its wants and the pins for it."""
    book = state.book
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("", "This market day is not in the season any more.")
    if any(r.market_day_id == market_day_id for r in book.removals.values()):
        raise Refusal("", "Fruit was sold on {name}, so it stays.", name=day.name)
    if any(b.market_day_id == market_day_id for b in book.brought.values()):
        raise Refusal("", "Fruit was brought to {name}, so it stays.", name=day.name)
    pins = [pin for pin in book.pins.values() if pin.market_day_id == market_day_id]
    hanging: list[Record] = [*wants_of(book, market_day_id), *pins]
    return Action(tr("deletion of {day}").format(day=day.name), deleted=(*hanging, day))
