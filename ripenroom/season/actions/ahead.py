"""Actions on what lies ahead: market days, expected picks, and prices of second-grade fruit."""

from collections.abc import Collection, Sequence
from datetime import datetime

from ripenroom.records.book import Book, Record
from ripenroom.records.market import ExpectedPick, MarketDay, SecondGrade, Want
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import (
    LONGEST_WAIT,
    Action,
    require_in_season,
    tidy,
)
from ripenroom.season.actions.orchard import require_cultivar
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.season.whereabouts import require_place
from ripenroom.texts import tr, tr_n


def wants_of(book: Book, market_day_id: str) -> list[Want]:
    """What a market day wants, in the order of crops."""
    found = (w for w in book.wants.values() if w.market_day_id == market_day_id)
    return sorted(found, key=lambda w: w.crop)


def save_market_day(state: SeasonState, day: MarketDay, wants: Sequence[Want]) -> Action:
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


def save_market_days(
    state: SeasonState, days: Sequence[tuple[MarketDay, Sequence[Want]]]
) -> Action:
    """Make several market days in one action, such as a weekly market."""
    actions = [save_market_day(state, *day) for day in days]
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


def delete_market_day(state: SeasonState, market_day_id: str) -> Action:
    """Delete a market day to which nothing came yet, with its wants and the pins for it."""
    book = state.book
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("", "This market day is not in the season any more.")
    if any(r.market_day_id == market_day_id for r in book.removals.values()):
        raise Refusal("", "{name}: fruit was sold there, so it stays.", name=day.name)
    if any(b.market_day_id == market_day_id for b in book.brought.values()):
        raise Refusal("", "Fruit was brought to {name}, so it stays.", name=day.name)
    pins = [pin for pin in book.pins.values() if pin.market_day_id == market_day_id]
    hanging: list[Record] = [*wants_of(book, market_day_id), *pins]
    return Action(tr("deletion of {day}").format(day=day.name), deleted=(*hanging, day))


def save_expected_pick(state: SeasonState, pick: ExpectedPick) -> Action:
    """Make or change a pick that is expected, or the word that nothing more is, today or on a day
    ahead."""
    book, today = state.book, state.today
    checked(pick)
    if pick.crop not in state.crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=pick.crop)
    if pick.cultivar_id is not None:
        require_cultivar(book, pick.cultivar_id, pick.crop)
    if not max(today, book.season.first_day) <= pick.on <= today + LONGEST_WAIT:
        raise Refusal(
            "on",
            "An expected pick is for today or later, at most {days} days from now. Enter what"
            " is already picked on Picks.",
            days=LONGEST_WAIT.days,
        )
    require_place(book, pick.place_id)
    label = _expected(pick)
    if pick.id in book.expected_picks:
        label = tr("change of {what}").format(what=label)
    return Action(label, (pick,))


def save_expected_picks(state: SeasonState, picks: Sequence[ExpectedPick]) -> Action:
    """:func:`save_expected_pick` for some picks, the first of which gives the action its name."""
    saved = [save_expected_pick(state, pick) for pick in picks]
    return Action(saved[0].label, tuple(record for one in saved for record in one.put))


def delete_expected_pick(state: SeasonState, pick_id: str) -> Action:
    """Expect a pick no longer."""
    found = state.book.expected_picks.get(pick_id)
    if found is None:
        raise Refusal("", "This expected pick is not in the season any more.")
    return Action(tr("deletion of {what}").format(what=_expected(found)), deleted=(found,))


def _expected(pick: ExpectedPick) -> str:
    if pick.nothing_more:
        return tr("no more to pick of {crop}").format(crop=pick.crop)
    return tr("expected pick of {count} {crop}").format(count=pick.count, crop=pick.crop)


def save_second_grades(state: SeasonState, grades: Sequence[SecondGrade]) -> Action:
    """Say for every crop of which second grade is taken what one fruit brings; all in one."""
    seen: set[str] = set()
    for grade in grades:
        _require_grade(grade, state.crops)
        if grade.crop in seen:
            raise Refusal("crop", "“{crop}” is there twice: put it on one line.", crop=grade.crop)
        seen.add(grade.crop)
    kept = {grade.id for grade in grades}
    dropped = tuple(g for g in state.book.second_grades.values() if g.id not in kept)
    return Action(tr("change of second grade"), tuple(grades), dropped)


def _require_grade(grade: SecondGrade, crops: Collection[str]) -> None:
    checked(grade)
    if grade.crop not in crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=grade.crop)
