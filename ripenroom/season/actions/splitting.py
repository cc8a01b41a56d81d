"""Splitting a batch into two that go different ways, and putting two such together again."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from ripenroom.records.batch import Batch, FeelCounts
from ripenroom.records.book import Book, Record, differences, new_id, put_and_deleted
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.batches import require_batch, treatments_of
from ripenroom.season.amounts import fruit_left, picked_fruit, whole_fruit
from ripenroom.season.batch_codes import split_code
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of
from ripenroom.texts import tr

_GRAIN = 6
"""Decimals of a split weight (kg): finer than any scales, and sums of them come out even."""


def named_change(label: str, before: Book, after: Book) -> Action:
    """The action that turns the one book into the other."""
    return Action(label, *put_and_deleted(differences(before, after)))


def split(state: SeasonState, batch_id: str, fruit: int) -> tuple[Batch, Action]:
    """Part ``fruit`` of a batch from the rest; the new batch, and the action."""
    book = state.book
    after, part = split_off(book, state.crops, batch_id, fruit)
    code = book.batches[batch_id].code
    return part, named_change(tr("split of {code}").format(code=code), book, after)


def split_off(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch_id: str,
    fruit: int,
    part_id: str | None = None,
) -> tuple[Book, Batch]:
    """A book in which ``fruit`` of a batch are a batch of their own, and that batch.

    It has been wherever the whole batch was, and will go where that was to go. What was taken out
    of the batch, checked and pinned stays with the rest.
    """
    batch = require_batch(book, batch_id)
    left = whole_fruit(fruit_left(book, crops, batch))
    if not 1 <= fruit < left:
        raise Refusal(
            "fruit",
            "{code} has no fruit left to split."
            if left == 0
            else "{code} has 1 fruit left and cannot be split."
            if left == 1
            else "{fruit} fruit cannot be split off {code}, which has {left} left: give a whole "
            "number from 1 to {most}.",
            fruit=fruit,
            code=batch.code,
            left=left,
            most=left - 1,
        )
    part_id = part_id or new_id()
    code = split_code(batch.code, (b.code for b in book.batches.values()))
    rest, part = _parted(batch, fruit, fruit / picked_fruit(crops, batch))
    part = replace(part, id=part_id, code=code, split_from=batch.id)
    picking = last_picking_over(book, batch.id)
    if picking is not None and picking.id != batch.picked_over:
        part = replace(part, picked_over=picking.id, taken=False)
    been: list[Record] = [
        *(replace(m, id=new_id(), batch_id=part_id) for m in moves_of(book, batch_id)),
        *(replace(t, id=new_id(), batch_id=part_id) for t in treatments_of(book, batch_id)),
    ]
    return book.with_changes([rest, part, *been]), part


def last_picking_over(book: Book, batch_id: str) -> Check | None:
    """The check at which a batch was picked over last; None if it never was."""
    own = (c for c in book.checks.values() if c.batch_id == batch_id and c.picks_over)
    return max(own, key=lambda check: check.order, default=None)


def _parted(batch: Batch, fruit: int, share: float) -> tuple[Batch, Batch]:
    """The rest of a batch, and ``fruit`` of it, which are that ``share`` of the whole."""
    count = None if batch.count is None else batch.count - fruit
    part_kg = rest_kg = None
    if batch.weight_kg is not None:
        part_kg = round(batch.weight_kg * share, _GRAIN)
        rest_kg = round(batch.weight_kg - part_kg, _GRAIN)
    part_feel = rest_feel = batch.feel_counts
    if batch.feel_counts is not None and batch.count is not None and count is not None:
        if sum(batch.feel_counts) >= batch.count:
            part_feel = scaled(batch.feel_counts, fruit)
            rest_feel = _less(batch.feel_counts, part_feel)
        else:
            # A sample tells of both as much as it told of the whole, but is not more than either.
            part_feel = scaled(batch.feel_counts, fruit)
            rest_feel = scaled(batch.feel_counts, count)
    return (
        replace(batch, count=count, weight_kg=rest_kg, feel_counts=rest_feel),
        replace(
            batch,
            count=None if batch.count is None else fruit,
            weight_kg=part_kg,
            feel_counts=part_feel,
        ),
    )


def scaled(counts: FeelCounts, most: int) -> FeelCounts:
    """Counts by feel in the same proportions that add up to ``most``, or as they are if to less.

    By largest remainder, the firmer feel first where two are equal.

    >>> scaled((0, 20, 10, 0, 0), 10)
    (0, 7, 3, 0, 0)
    """
    fruit = np.array(counts)
    total = int(fruit.sum())
    if total <= most:
        return counts
    whole, over = np.divmod(fruit * most, total)
    first = np.argsort(-over, kind="stable")[: most - int(whole.sum())]
    whole[first] += 1
    a, b, c, d, e = whole.tolist()
    return a, b, c, d, e


def _less(counts: FeelCounts, gone: FeelCounts) -> FeelCounts:
    a, b, c, d, e = (n - m for n, m in zip(counts, gone, strict=True))
    return a, b, c, d, e


def joined(book: Book, part: Batch) -> Book:
    """A book in which a batch is again part of the one that it was split from.

    Only for a part of which nothing but moves and treatments was written down.
    """
    rest = book.batches[part.split_from or ""]
    weight_kg = feel = None
    if rest.weight_kg is not None and part.weight_kg is not None:
        weight_kg = round(rest.weight_kg + part.weight_kg, _GRAIN)
    if rest.feel_counts is not None and part.feel_counts is not None:
        feel = _joined_feel(rest, part, rest.feel_counts, part.feel_counts)
    count = None
    if rest.count is not None and part.count is not None:
        count = rest.count + part.count
    whole = replace(rest, count=count, weight_kg=weight_kg, feel_counts=feel)
    been: list[Record] = [*moves_of(book, part.id), *treatments_of(book, part.id)]
    return book.with_changes([whole], [part, *been])


def _joined_feel(rest: Batch, part: Batch, ours: FeelCounts, theirs: FeelCounts) -> FeelCounts:
    if sum(ours) == rest.count and sum(theirs) == part.count:
        a, b, c, d, e = (n + m for n, m in zip(ours, theirs, strict=True))
        return a, b, c, d, e
    return max(ours, theirs, key=sum)
