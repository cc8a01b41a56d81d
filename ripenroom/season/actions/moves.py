"""Moving batches from place to place, and taking moves back."""

from collections.abc import Sequence
from datetime import datetime

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_within_wait
from ripenroom.season.actions.batches import require_batch, summary
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_by_batch, moves_of
from ripenroom.texts import tr


def move(state: SeasonState, batch_ids: Sequence[str], place_id: str, at: datetime) -> Action:
    """Move batches to a place at a time, which may lie ahead (a pull)."""
    book, at = state.book, at.replace(microsecond=0)
    if place_id not in book.places:
        raise Refusal("place_id", "Choose the place to move to.")
    moving = list(dict.fromkeys(batch_ids))
    moves = moves_by_batch(book)
    put: list[Record] = []
    for batch_id in moving:
        batch = require_batch(book, batch_id)
        require_room_for_move(book, batch, moves.get(batch_id, []), place_id, at)
        put.append(Move(id=new_id(), batch_id=batch_id, at=at, place_id=place_id))
    place = book.places[place_id].name
    return Action(
        tr("move of {summary} to {place}").format(summary=summary(book, moving), place=place),
        tuple(put),
    )


def require_room_for_move(
    book: Book, batch: Batch, moves: Sequence[Move], place_id: str, at: datetime
) -> None:
    """Refuse a move that does not fit between a batch's others, which are given in order."""
    if at <= batch.picked_at:
        raise Refusal(
            "at", "{code} was picked then or later; choose a later time.", code=batch.code
        )
    require_within_wait(at, batch)
    before: Move | None = None
    after: Move | None = None
    for other in moves:
        if other.at == at:
            raise Refusal(
                "at",
                "{code} already moves to {place} at that time; delete that move first.",
                code=batch.code,
                place=book.places[other.place_id].name,
            )
        if other.at < at:
            before = other
        elif after is None:
            after = other
    if before is not None and before.place_id == place_id:
        raise Refusal(
            "place_id",
            "At that time {code} is there already: {place}.",
            code=batch.code,
            place=book.places[place_id].name,
        )
    if after is not None and after.place_id == place_id:
        raise Refusal(
            "at",
            "{code} already moves to {place} later; delete that move first.",
            code=batch.code,
            place=book.places[place_id].name,
        )


def delete(state: SeasonState, move_id: str) -> Action:
    """Take a move back; a batch keeps the one that brought it to its first place."""
    book = state.book
    found = book.moves.get(move_id)
    if found is None:
        raise Refusal("", "This move is not in the season any more.")
    moves = moves_of(book, found.batch_id)
    if moves[0].id == move_id:
        raise Refusal("", "This is where the batch first waited; edit the batch instead.")
    which = next(n for n, m in enumerate(moves) if m.id == move_id)
    deleted = [found]
    if which + 1 < len(moves) and moves[which + 1].place_id == moves[which - 1].place_id:
        # Without this move the next one would lead to where the batch is anyway.
        deleted.append(moves[which + 1])
    code = book.batches[found.batch_id].code
    place = book.places[found.place_id].name
    return Action(
        tr("move of {code} to {place} taken back").format(code=code, place=place),
        deleted=tuple(deleted),
    )
