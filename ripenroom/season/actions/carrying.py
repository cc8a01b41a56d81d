"""Writing down that a move of the plan was made: of a whole batch, or of some of its crates."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch, Move, Removal
from ripenroom.records.book import Book, new_id
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_not_ahead
from ripenroom.season.actions.batches import require_batch, take_out
from ripenroom.season.actions.moves import require_room_for_move
from ripenroom.season.actions.pins import carried_along, crates_label, require_picked
from ripenroom.season.actions.splitting import named_change, split_off
from ripenroom.season.amounts import (
    crates_left,
    fruit_in,
    fruit_left,
    fruit_per_crate,
    whole_fruit,
)
from ripenroom.season.plans.plan import as_one
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of, place_at, require_place
from ripenroom.texts import tr

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Clearing, PlannedItinerary


def carry_out(state: SeasonState, line: "PlannedItinerary", at: datetime) -> tuple[str, Action]:
    """The move of a plan's line was made ``at`` that time; the batch that moved, and the action.

    Of a line with several moves it is the first that was made. Where only some crates of a batch
    go, they become a batch of their own. A pin that the line follows goes along with them.
    """
    at = at.replace(microsecond=0)
    book, crops = state.book, state.crops
    batch = require_picked(book, line)
    require_not_ahead("at", at, state.now)
    line = line.next_step()
    if line.second_grade:
        return batch.id, _sold_as_second_grade(book, crops, batch, line, at)
    if line.pull_at is None or line.to_place_id is None:
        raise Refusal("", "The plan does not move {code}.", code=batch.code)
    place = require_place(book, line.to_place_id)
    if place_at(moves_of(book, batch.id), at) != line.from_place_id:
        raise Refusal(
            "",
            "{code} is no longer there ({place}); look at the new plan.",
            code=batch.code,
            place=require_place(book, line.from_place_id).name,
        )
    after, moved, label = book, batch.id, batch.code
    if line.crates < crates_left(book, crops, batch):
        left = fruit_left(book, crops, batch)
        held = fruit_in(line.crates, left, fruit_per_crate(crops, batch))
        fruit = max(1, round(held))
        after, part = split_off(book, crops, batch.id, fruit)
        moved, label = part.id, crates_label(line.crates, batch)
    after = moved_to(after, moved, place.id, at)
    after = after.with_changes(carried_along(after, line, moved))
    return moved, named_change(
        tr("move of {label} to {place}").format(label=label, place=place.name), book, after
    )


def carry_out_all(
    state: SeasonState, lines: "Sequence[PlannedItinerary]", at: datetime
) -> tuple[list[str], Action]:
    """The moves of several lines were made at once, as in a swap: one action. Crates of one batch
    that go the same way stay together; their pins go along with them."""
    book = state.book
    after, moved, labels = state, list[str](), list[str]()
    ways: dict[tuple[str, str, str | None], list[PlannedItinerary]] = {}
    for line in lines:
        way = line.batch_id, line.from_place_id, line.next_step().to_place_id
        ways.setdefault(way, []).append(line)
    for alike in ways.values():
        batch_id, change = carry_out(after, as_one(alike), at)
        after = after.with_changes(change.put, change.deleted)
        for line in alike:
            after = after.with_changes(carried_along(after.book, line, batch_id))
        moved.append(batch_id)
        labels.append(book.batches[alike[0].batch_id].code)
    label = (
        change.label
        if len(ways) == 1
        else tr("swap of {labels}").format(labels=tr(" and ").join(labels))
    )
    return moved, named_change(label, book, after.book)


def clear(state: SeasonState, clearing: "Clearing", at: datetime) -> tuple[str, Action]:
    """Crates were cleared away to make room: the record that throws their fruit out of its batch,
    and the action."""
    at = at.replace(microsecond=0)
    book, crops = state.book, state.crops
    batch = require_batch(book, clearing.line.batch_id)
    left = whole_fruit(fruit_left(book, crops, batch))
    fruit = left
    if clearing.crates < crates_left(book, crops, batch):
        held = fruit_in(clearing.crates, left, fruit_per_crate(crops, batch))
        fruit = max(1, round(held))
    change = take_out(state, batch.id, fruit, "discarded", at)
    (removal,) = change.put
    return removal.id, replace(
        change, label=tr("{fruit} of {batch} cleared").format(fruit=fruit, batch=batch.code)
    )


def put_back(state: SeasonState, removal_id: str) -> Action:
    """Fruit that was said to be taken out of its batch is there after all."""
    book = state.book
    removal = book.removals.get(removal_id)
    if removal is None:
        raise Refusal("", "This is not in the season any more.")
    code = book.batches[removal.batch_id].code
    return Action(
        tr("{count} of {code} back (not cleared)").format(count=removal.count, code=code),
        deleted=(removal,),
    )


def moved_to(book: Book, batch_id: str, place_id: str, at: datetime, move_id: str = "") -> Book:
    """A book in which a batch was moved; a move there that was written down for later is this one.

    Raises ``Refusal`` for a move that cannot be.
    """
    ahead = [move for move in moves_of(book, batch_id) if move.at > at]
    there = [n for n, move in enumerate(ahead) if move.place_id == place_id]
    after = book.with_changes(deleted=ahead[: there[0] + 1] if there else ())
    moves = moves_of(after, batch_id)
    require_room_for_move(after, after.batches[batch_id], moves, place_id, at)
    move = Move(id=move_id or new_id(), batch_id=batch_id, at=at, place_id=place_id)
    return after.with_changes([move])


def _sold_as_second_grade(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch: Batch,
    line: "PlannedItinerary",
    at: datetime,
) -> Action:
    left = whole_fruit(fruit_left(book, crops, batch))
    if at < batch.picked_at:
        raise Refusal("at", "That is before {code} was picked.", code=batch.code)
    fruit = left
    if line.crates < crates_left(book, crops, batch):
        held = fruit_in(line.crates, left, fruit_per_crate(crops, batch))
        fruit = max(1, round(held))
    price = next((g.price_minor for g in book.second_grades.values() if g.crop == batch.crop), None)
    gone = Removal(
        id=new_id(),
        batch_id=batch.id,
        at=at,
        count=fruit,
        outcome="sold",
        grade="second",
        price_minor=price,
    )
    return Action(
        tr("{fruit} of {batch} for second grade").format(fruit=fruit, batch=batch.code), (gone,)
    )
