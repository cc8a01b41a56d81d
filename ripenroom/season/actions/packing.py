"""Packing for a market day: what was squeezed, what of it goes, and what stays at home.

The squeeze is a check of each batch that was opened. What was taken becomes a batch of its own, as
it is no sample of what it came from, and stands packed; what was too firm stays where it is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from ripenroom.records.batch import Batch, Removal
from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Pin
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import (
    Action,
    field_of,
    require_count,
    require_not_ahead,
    require_once,
)
from ripenroom.season.actions.batches import require_batch
from ripenroom.season.actions.splitting import named_change, split_off
from ripenroom.season.amounts import (
    crates_of,
    fruit_left,
    fruit_per_crate,
    packed_fruit,
    whole_fruit,
)
from ripenroom.season.buyers import days_of
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of
from ripenroom.texts import tr

LATEST = timedelta(hours=18)
"""So long after a market day began it is still written down what was packed for it."""


class TooSoft(StrEnum):
    """What becomes of fruit that is too soft at packing."""

    THROWN = "thrown"
    SECOND_GRADE = "second grade"
    STAYS = "stays"


@dataclass(frozen=True, slots=True)
class Squeezed:
    """Every fruit of some crates of a batch was squeezed: so many were ``taken`` to market, too
    ``firm`` and left at home, too ``soft``."""

    batch_id: str
    taken: int
    firm: int
    soft: int

    @property
    def fruit(self) -> int:
        """Fruit that was looked at."""
        return self.taken + self.firm + self.soft


def pack_squeezed(
    state: SeasonState,
    market_day_id: str,
    squeezed: Sequence[Squeezed],
    at: datetime,
    too_soft: TooSoft = TooSoft.THROWN,
) -> Action:
    """What was squeezed ``at`` that time for a market day: a check of each batch, what was taken
    packed, what was too soft gone. Lines of nothing are left out; refuse if all are."""
    at = at.replace(microsecond=0)
    book = state.book
    day = require_packable(book, market_day_id)
    require_not_ahead("at", at, state.now)
    if not can_be_packed(day, at):
        raise Refusal("at", "{name} is over by then; choose an earlier time.", name=day.name)
    opened = [one for one in squeezed if one.fruit]
    if not opened:
        raise Refusal("", "No fruit counted yet: say how many were taken or left.")
    require_once("taken", (one.batch_id for one in opened), book)
    after = book
    for one in opened:
        after = _packed(after, state.crops, day, one, at, too_soft)
    taken = sum(one.taken for one in opened)
    return named_change(
        tr("packing of {taken} fruit for {day}").format(taken=taken, day=day.name), book, after
    )


def can_be_packed(day: MarketDay, at: datetime) -> bool:
    """Whether it may still be written down what is packed for a market day at that time."""
    return day.settled_at is None and at <= day.starts_at + LATEST


def require_packable(book: Book, market_day_id: str) -> MarketDay:
    """The market day of that id; refuse one that is gone, or of which all is said."""
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("", "This market day is not in the season any more.")
    if day.settled_at is not None:
        raise Refusal("", "What {name} sold is entered already.", name=day.name)
    return day


def _packed(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    one: Squeezed,
    at: datetime,
    too_soft: TooSoft,
) -> Book:
    batch = require_batch(book, one.batch_id)
    there = _require_there(book, crops, batch, one, at)
    put: list[Record] = []
    check = _check(crops, day, batch, one, there, at, too_soft)
    if check is not None:
        put.append(check)
    if one.soft and too_soft is not TooSoft.STAYS:
        put.append(_gone(book, batch, one.soft, at, too_soft))
    served = [
        pin
        for pin in book.pins.values()
        if (pin.batch_id, pin.market_day_id) == (batch.id, day.id) and pin.packed_at is None
    ]
    after = book.with_changes(put, served)
    if not one.taken:
        return after
    whole = one.taken >= whole_fruit(fruit_left(after, crops, batch))
    part = batch
    if not whole:
        after, part = split_off(after, crops, batch.id, one.taken)
        # What was to be moved is what stays: this stands packed.
        ahead = [move for move in moves_of(after, part.id) if move.at > at]
        after = after.with_changes(deleted=ahead)
    if check is not None:
        part = replace(part, picked_over=check.id, taken=True)
    pin = Pin(
        id=new_id(),
        batch_id=part.id,
        crates=max(1, crates_of(one.taken, fruit_per_crate(crops, batch))),
        market_day_id=day.id,
        packed_at=at,
    )
    return after.with_changes([part, pin])


def _require_there(
    book: Book, crops: Mapping[str, CropProfile], batch: Batch, one: Squeezed, at: datetime
) -> int:
    """Whole fruit that a batch had then; refuse counts that cannot be of it."""
    if batch.crop not in crops:
        raise Refusal(
            field_of("taken", batch.id),
            "This season has no crop “{crop}”, so {code} cannot be packed.",
            crop=batch.crop,
            code=batch.code,
        )
    for what in ("taken", "firm", "soft"):
        require_count(what, getattr(one, what), batch)
    if at < batch.picked_at:
        raise Refusal("at", "That is before {code} was picked.", code=batch.code)
    there = whole_fruit(min(fruit_left(book, crops, batch, at), fruit_left(book, crops, batch)))
    if one.fruit > there:
        raise Refusal(
            field_of("taken", batch.id),
            "{code} has only {there} fruit, so {fruit} cannot have been squeezed.",
            fruit=one.fruit,
            code=batch.code,
            there=there,
        )
    _require_unpacked(book, crops, batch, one)
    return there


def _require_unpacked(
    book: Book, crops: Mapping[str, CropProfile], batch: Batch, one: Squeezed
) -> None:
    """Refuse fruit that stand packed already, be it for this market day: they would count twice."""
    left = fruit_left(book, crops, batch)
    packed = packed_fruit(book, crops, batch, left)
    free = whole_fruit(left - sum(packed.values()))
    if packed and one.fruit > free:
        names = [book.market_days[key].name for key in packed]
        raise Refusal(
            field_of("taken", batch.id),
            "{packed} of {code} are packed for {names} already; {free} are not. To pack them "
            "again, undo that packing or untick it under Today."
            if free
            else "{code} is packed for {names} already. To pack it again, undo that packing or "
            "untick it under Today.",
            packed=whole_fruit(sum(packed.values())),
            code=batch.code,
            names=", ".join(names),
            free=free,
        )


def _check(
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    batch: Batch,
    one: Squeezed,
    there: int,
    at: datetime,
    too_soft: TooSoft,
) -> Check | None:
    """The squeeze as a check; None of fruit that does not show how far on it is."""
    crop = crops[batch.crop]
    if crop.judged_by == "nothing":
        return None
    stays = too_soft is TooSoft.STAYS
    return Check(
        id=new_id(),
        batch_id=batch.id,
        at=at,
        feel_counts=(
            one.firm,
            0,
            one.taken,
            one.soft if stays else 0,
            0 if stays else one.soft,
        ),
        eat_within_days=days_of(day, buyers_days(crop)),
        picked_from=there,
    )


def _gone(book: Book, batch: Batch, fruit: int, at: datetime, too_soft: TooSoft) -> Removal:
    """Fruit that was too soft, thrown away or sold for second grade."""
    gone = Removal(id=new_id(), batch_id=batch.id, at=at, count=fruit, outcome="discarded")
    if too_soft is TooSoft.THROWN:
        return gone
    prices = [g.price_minor for g in book.second_grades.values() if g.crop == batch.crop]
    return replace(gone, outcome="sold", grade="second", price_minor=max(prices, default=None))
