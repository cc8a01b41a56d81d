"""Pins: crates that the grower fixed to one way, whatever the plan prefers, or has packed."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, new_id
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Pin
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_not_ahead
from ripenroom.season.actions.batches import require_batch
from ripenroom.season.actions.moves import require_room_for_move
from ripenroom.season.amounts import crates_left
from ripenroom.season.plans.plan import as_one
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of, require_place
from ripenroom.texts import tr, tr_n

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


def pin(state: SeasonState, wanted: Pin) -> Action:
    """Make or change a pin: crates of a batch that go one way, whatever else would be better."""
    book, now = state.book, state.now
    batch = require_batch(book, wanted.batch_id)
    _require_crates(book, state.crops, batch, wanted)
    if (wanted.pull_at is None) != (wanted.place_id is None):
        raise Refusal(
            "pull_at" if wanted.pull_at is None else "place_id",
            "Say when {code} is moved and where to, or neither.",
            code=batch.code,
        )
    day = None
    if wanted.market_day_id is not None:
        day = require_market_ahead(book, wanted.market_day_id, now)
    old = book.pins.get(wanted.id)
    kept = old is not None and (old.pull_at, old.place_id) == (wanted.pull_at, wanted.place_id)
    if wanted.pull_at is not None and wanted.place_id is not None and not kept:
        _require_pull(book, batch, wanted.pull_at, wanted.place_id, day, now)
    label = tr("pin of {crates}").format(crates=crates_label(wanted.crates, batch))
    return Action(
        tr("{label} for {day}").format(label=label, day=day.name) if day else label, (wanted,)
    )


def carried_along(book: Book, line: "PlannedItinerary", batch_id: str) -> list[Pin]:
    """The pin that a line follows, as it is once the next move of the line was made."""
    pin = book.pins.get(line.pin_id or "")
    if pin is None:
        return []
    pin = replace(pin, batch_id=batch_id)
    there = pin.place_id == line.next_step().to_place_id
    return [replace(pin, pull_at=None, place_id=None) if there else pin]


def crates_label(crates: int, batch: Batch) -> str:
    """Crates of a batch as undo names them."""
    label = tr_n("{n} crate of {batch}", "{n} crates of {batch}", crates)
    return label.format(batch=batch.code)


def require_market_ahead(book: Book, market_day_id: str, now: datetime) -> MarketDay:
    """The market day of that id; refuse one that is gone, or has begun."""
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("market_day_id", "This market day is not in the season any more.")
    if day.starts_at <= now:
        raise Refusal("market_day_id", "{name} has begun already.", name=day.name)
    return day


def _require_crates(
    book: Book, crops: Mapping[str, CropProfile], batch: Batch, wanted: Pin
) -> None:
    left = crates_left(book, crops, batch)
    others = sum(
        p.crates for p in book.pins.values() if p.batch_id == batch.id and p.id != wanted.id
    )
    if not 1 <= wanted.crates <= left - others:
        raise Refusal(
            "crates",
            "{code} has 1 crate left."
            if left == 1 and not others
            else "{code} has {left} crates left; type a whole number from 1 to {left}."
            if not others
            else "{code} has {left} crates left, and {others} of them are pinned already."
            if others < left
            else "All crates of {code} are pinned already; take a pin off first.",
            code=batch.code,
            left=left,
            others=others,
        )


def _require_pull(
    book: Book, batch: Batch, at: datetime, place_id: str, day: MarketDay | None, now: datetime
) -> None:
    place = require_place(book, place_id)
    if at <= now:
        raise Refusal("pull_at", "That time is past; choose a later one.")
    if day is not None and at >= day.starts_at:
        raise Refusal("pull_at", "{name} has begun by then; choose an earlier time.", name=day.name)
    ahead = [m for m in moves_of(book, batch.id) if m.at > now]
    if ahead:
        raise Refusal(
            "pull_at",
            "{code} already moves to {place}; delete that move first.",
            code=batch.code,
            place=book.places[ahead[0].place_id].name,
        )
    try:
        require_room_for_move(book, batch, moves_of(book, batch.id), place.id, at)
    except Refusal as refusal:
        field = "pull_at" if refusal.field == "at" else refusal.field
        raise Refusal(field, refusal.text, **refusal.values) from refusal


def require_pin(book: Book, pin_id: str) -> Pin:
    """The pin of that id; refuse one that is gone."""
    if pin_id not in book.pins:
        raise Refusal("", "This pin is not in the season any more.")
    return book.pins[pin_id]


def unpin(state: SeasonState, pin_id: str) -> Action:
    """Leave crates to the plan again."""
    book = state.book
    found = require_pin(book, pin_id)
    label = crates_label(found.crates, book.batches[found.batch_id])
    return Action(tr("pin of {label} taken off").format(label=label), deleted=(found,))


def pack(state: SeasonState, line: "PlannedItinerary", at: datetime) -> tuple[Pin, Action]:
    """Write down that a line's crates stand packed for its market day; the pin that says so."""
    at = at.replace(microsecond=0)
    book = state.book
    batch = require_picked(book, line)
    if line.market_day_id is None:
        raise Refusal("market_day_id", "{code} goes to no market day.", code=batch.code)
    day = book.market_days.get(line.market_day_id)
    if day is None:
        raise Refusal("market_day_id", "This market day is not in the season any more.")
    require_not_ahead("at", at, state.now)
    if at < batch.picked_at:
        raise Refusal("at", "That is before {code} was picked.", code=batch.code)
    old = book.pins.get(line.pin_id or "")
    if old is None:
        # What is packed before it is pulled has still to be pulled.
        ahead = any(m.at > at for m in moves_of(book, batch.id))
        pulled = line.pull_at is None or line.pull_at <= at or ahead
        old = Pin(
            id=new_id(),
            batch_id=batch.id,
            crates=line.crates,
            pull_at=None if pulled else line.pull_at,
            place_id=None if pulled else line.to_place_id,
            market_day_id=day.id,
        )
    if old.packed_at is not None:
        raise Refusal("", "{what} are packed already.", what=crates_label(old.crates, batch))
    packed = replace(old, crates=line.crates, packed_at=at)
    _require_crates(book, state.crops, batch, packed)
    label = tr("packing of {crates} for {day}").format(
        crates=crates_label(packed.crates, batch), day=day.name
    )
    return packed, Action(label, (packed,))


def pack_all(
    state: SeasonState, lines: "Sequence[PlannedItinerary]", at: datetime
) -> tuple[Pin, Action]:
    """Write down that crates of one batch stand packed, of all lines that go the same way to the
    same market day: they share one pin from then on."""
    line, pins = as_one(lines), state.book.pins
    followed = {one.pin_id for one in lines if one.pin_id is not None}
    others = tuple(pins[key] for key in followed if key != line.pin_id and key in pins)
    packed, change = pack(state.with_changes((), others), line, at)
    return packed, replace(change, deleted=(*change.deleted, *others))


def unpack(state: SeasonState, pin_id: str) -> Action:
    """Crates do not stand packed after all; they stay pinned to their market day."""
    book = state.book
    found = require_pin(book, pin_id)
    if found.packed_at is None:
        raise Refusal("", "These crates are not packed.")
    label = crates_label(found.crates, book.batches[found.batch_id])
    return Action(
        tr("packing of {label} taken back").format(label=label), (replace(found, packed_at=None),)
    )


def require_picked(book: Book, line: "PlannedItinerary") -> Batch:
    """The batch of a plan's line; refuse a line of a pick that is only expected."""
    if line.expected_pick_id is not None:
        raise Refusal("batch_id", "This pick is only expected; enter it first.")
    return require_batch(book, line.batch_id)
