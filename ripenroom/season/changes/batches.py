"""Changing what was written down of batches: mend, delete, move, sell, discard."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from ripenroom.records.batch import Batch, Move, Outcome, Removal, Treatment
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.identity import new_id
from ripenroom.records.pick_entry import PickEntry
from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts_left import fruit_left, whole_fruit
from ripenroom.season.changes.change import NamedChange, require_not_ahead, require_within_wait
from ripenroom.season.changes.pick import check_pick
from ripenroom.season.moves import moves_by_batch, moves_of


def require_batch(book: Book, batch_id: str) -> Batch:
    """The batch of that id; refuse one that is gone."""
    if batch_id not in book.batches:
        raise Refusal("batch_id", "This batch is not in the season any more.")
    return book.batches[batch_id]


def summary(book: Book, batch_ids: Sequence[str]) -> str:
    """A batch's code, or how many batches they are."""
    if len(batch_ids) == 1:
        return book.batches[batch_ids[0]].code
    return f"{len(batch_ids)} batches"


def treatments_of(book: Book, batch_id: str) -> list[Treatment]:
    """A batch's ethylene treatments, earliest first."""
    found = (t for t in book.treatments.values() if t.batch_id == batch_id)
    return sorted(found, key=lambda treatment: treatment.at)


def change_batch(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch: Batch,
    now: datetime,
    answered: frozenset[str] = frozenset(),
) -> NamedChange:
    """Replace a batch by a mended one; its first move follows a mended pick time.

    ``answered`` are the questions that were answered yes; of what is left as it was none is asked.
    """
    old = require_batch(book, batch.id)
    moves = moves_of(book, batch.id)
    if _gauge_of(batch) == _gauge_of(old):
        answered |= {"readings", "probe_mm"}
    entry = _as_entry(batch, moves[0].place_id if moves else "", answered)
    check_pick(book, crops, entry, now)
    put: list[Record] = []
    removals = [r for r in book.removals.values() if r.batch_id == batch.id]
    if moves and batch.picked_at != old.picked_at:
        if len(moves) > 1 and moves[1].at <= batch.picked_at:
            raise Refusal("picked_at", "The batch was moved before that; mend the move first.")
        if any(r.at < batch.picked_at for r in removals):
            raise Refusal("picked_at", "Fruit of this batch was sold or discarded before that.")
        if any(t.at < batch.picked_at for t in treatments_of(book, batch.id)):
            raise Refusal("picked_at", "This batch was given ethylene before that.")
        if any(c.batch_id == batch.id and c.at < batch.picked_at for c in book.checks.values()):
            raise Refusal("picked_at", "This batch was checked before that.")
        put.append(replace(moves[0], at=batch.picked_at))
    if batch.count is None and batch.weight_kg is None and batch.feel_counts is not None:
        batch = replace(batch, count=sum(batch.feel_counts))
    gone = sum(r.count for r in removals)
    if batch.count is not None and batch.count < gone:
        raise Refusal("count", "Already sold or discarded of this batch: {gone}.", gone=gone)
    return NamedChange(f"change of {batch.code}", (batch, *put))


def _gauge_of(batch: Batch) -> tuple[object, ...]:
    return batch.crop, batch.readings, batch.reading_unit, batch.probe_mm


def _as_entry(batch: Batch, place_id: str, answered: frozenset[str]) -> PickEntry:
    return PickEntry(
        crop=batch.crop,
        place_id=place_id,
        picked_at=batch.picked_at,
        cultivar_id=batch.cultivar_id,
        row_id=batch.row_id,
        count=batch.count,
        weight_kg=batch.weight_kg,
        feel_counts=batch.feel_counts,
        readings=batch.readings,
        reading_unit=batch.reading_unit,
        probe_mm=batch.probe_mm,
        pulp_c=batch.pulp_c,
        note=batch.note,
        answered=answered,
    )


def delete_batches(book: Book, batch_ids: Sequence[str]) -> NamedChange:
    """Take batches out of the records with all that hangs on them."""
    gone = dict.fromkeys(batch_ids)
    batches = [require_batch(book, batch_id) for batch_id in gone]
    hanging: list[Record] = [
        record
        for shelf in (
            book.removals,
            book.treatments,
            book.moves,
            book.pins,
            book.checks,
            book.brought,
        )
        for record in shelf.values()
        if record.batch_id in gone
    ]
    label = f"deletion of {summary(book, list(gone))}"
    return NamedChange(label, deleted=(*hanging, *batches))


def move(book: Book, batch_ids: Sequence[str], place_id: str, at: datetime) -> NamedChange:
    """Move batches to a place at a time, which may lie ahead (a pull)."""
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
    return NamedChange(f"move of {summary(book, moving)} to {place}", tuple(put))


def require_room_for_move(
    book: Book, batch: Batch, moves: Sequence[Move], place_id: str, at: datetime
) -> None:
    """Refuse a move that does not fit between a batch's others, which are given in order."""
    if at <= batch.picked_at:
        raise Refusal(
            "at", "{code} was picked then or later; choose a later time.", code=batch.code
        )
    require_within_wait("at", at, batch)
    before: Move | None = None
    after: Move | None = None
    for other in moves:
        if other.at == at:
            raise Refusal(
                "at",
                "{code} is moved to {place} at that very time already; delete that move first.",
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
            "{code} is in {place} at that time already.",
            code=batch.code,
            place=book.places[place_id].name,
        )
    if after is not None and after.place_id == place_id:
        raise Refusal(
            "at",
            "{code} moves to {place} later already; delete that move first.",
            code=batch.code,
            place=book.places[place_id].name,
        )


def delete_move(book: Book, move_id: str) -> NamedChange:
    """Take a move back; a batch keeps the one that brought it to its first place."""
    found = book.moves.get(move_id)
    if found is None:
        raise Refusal("", "This move is not in the season any more.")
    moves = moves_of(book, found.batch_id)
    if moves[0].id == move_id:
        raise Refusal("", "This is where the batch first waited; change the batch instead.")
    which = next(n for n, m in enumerate(moves) if m.id == move_id)
    deleted = [found]
    if which + 1 < len(moves) and moves[which + 1].place_id == moves[which - 1].place_id:
        # Without this move the next one would lead to where the batch is anyway.
        deleted.append(moves[which + 1])
    code = book.batches[found.batch_id].code
    place = book.places[found.place_id].name
    return NamedChange(f"move of {code} to {place} taken back", deleted=tuple(deleted))


def take_out(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch_id: str,
    count: int,
    outcome: Outcome,
    at: datetime,
    market_day_id: str | None,
    now: datetime,
) -> NamedChange:
    """Take sold or discarded fruit out of a batch."""
    batch = require_batch(book, batch_id)
    left = whole_fruit(fruit_left(book, crops, batch))
    if not 1 <= count <= left:
        raise Refusal(
            "count",
            "{count} cannot be taken out of {code}: it has {left} left.",
            count=count,
            code=batch.code,
            left=left,
        )
    if at < batch.picked_at:
        raise Refusal("at", "{code} was picked later than that.", code=batch.code)
    require_not_ahead("at", at, now)
    if market_day_id is not None and market_day_id not in book.market_days:
        raise Refusal("market_day_id", "This market day is not in the season any more.")
    removal = Removal(
        id=new_id(),
        batch_id=batch_id,
        at=at,
        count=count,
        outcome=outcome,
        market_day_id=market_day_id,
    )
    return NamedChange(f"{count} of {batch.code} {outcome}", (removal,))
