"""What became of the fruit that was brought to a market day: sold, thrown away, or come back.

A market day can be settled again: what was written down of it before is then replaced.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from ripenroom.records.batch import Batch, Brought, Outcome, Removal
from ripenroom.records.book import Book, new_id
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.limits import DEAREST_MINOR
from ripenroom.records.market import MarketDay
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import (
    Action,
    field_of,
    require_count,
    require_not_ahead,
    require_once,
)
from ripenroom.season.actions.batches import require_batch
from ripenroom.season.actions.carrying import moved_to
from ripenroom.season.actions.outcomes import (
    BatchOutcome,
    move_back,
    part_that_came_back,
    parts_used_since,
    stand_squeeze,
    unsettled,
)
from ripenroom.season.actions.splitting import named_change, split_off
from ripenroom.season.amounts import LEAST_FRUIT, fruit_left, whole_fruit
from ripenroom.season.buyers import days_of
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.moments import CLOCK_SLACK
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of, place_at, require_place
from ripenroom.texts import tr


def settle(
    state: SeasonState,
    market_day_id: str,
    outcomes: Sequence[BatchOutcome],
    at: datetime,
    back_to: str | None,
    too_firm: bool = False,
) -> Action:
    """Write down what became of a market day that was over ``at`` that time.

    What came back is where it was before, or in the place ``back_to``. If it was ``too_firm`` for
    those who buy there, squeezed and left, its batch was picked over at the stand; left for want of
    buyers it says nothing. Pins for the market day have served.
    """
    at = at.replace(microsecond=0)
    book, now = state.book, state.now
    day = _require_begun(book, market_day_id, now)
    require_not_ahead("at", at, now)
    if at < day.starts_at:
        raise Refusal("at", "{name} began later than that.", name=day.name)
    if back_to is not None:
        require_place(book, back_to)
    after = unsettled(book, day)
    came_before = parts_used_since(book, after, day)
    require_once("brought", (outcome.batch_id for outcome in outcomes), book)
    for outcome in outcomes:
        came = came_before.get(outcome.batch_id)
        if too_firm:
            after = _squeezed(after, state.crops, day, outcome, at, came or 0)
        after = _with_outcome(after, state.crops, day, outcome, at, back_to, came)
    for batch_id in came_before.keys() - {outcome.batch_id for outcome in outcomes}:
        nothing = BatchOutcome(batch_id, 0, 0, 0)
        _require_same(after, day, nothing, back_to, came_before[batch_id])
    served = [pin for pin in book.pins.values() if pin.market_day_id == day.id]
    settled = replace(day, settled_at=now.replace(microsecond=0))
    after = after.with_changes([settled], served)
    return named_change(tr("sales at {day}").format(day=day.name), book, after)


def _require_begun(book: Book, market_day_id: str, now: datetime) -> MarketDay:
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("", "This market day is not in the season any more.")
    if day.starts_at > now + CLOCK_SLACK:
        raise Refusal(
            "", "{name} is still to come; enter what was sold when it is over.", name=day.name
        )
    return day


def _with_outcome(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    outcome: BatchOutcome,
    at: datetime,
    back_to: str | None,
    came_before: int | None,
) -> Book:
    """The book with one outcome; ``came_before`` fruit are a part by now, not in the batch."""
    batch = require_batch(book, outcome.batch_id)
    _require_numbers(batch, outcome)
    if came_before is not None:
        _require_same(book, day, outcome, back_to, came_before)
    back = came_before or 0
    there = fruit_left(book, crops, batch, at) + back
    _require_there(book, crops, batch, outcome, at, there, back)
    if not outcome.brought:
        return book
    put: list[Removal | Brought] = [
        Brought(id=new_id(), batch_id=batch.id, market_day_id=day.id, count=outcome.brought)
    ]
    outcomes: tuple[tuple[Outcome, int, int | None], ...] = (
        ("sold", outcome.sold, outcome.price_minor),
        ("discarded", outcome.thrown, None),
    )
    for what, count, price_minor in outcomes:
        if count:
            put.append(
                Removal(
                    id=new_id(),
                    batch_id=batch.id,
                    at=at,
                    count=count,
                    outcome=what,
                    market_day_id=day.id,
                    price_minor=price_minor,
                )
            )
    after = book.with_changes(put)
    if came_before is not None or back_to is None or not outcome.came_back:
        return after
    whole = there - outcome.brought < LEAST_FRUIT
    return _come_back(after, crops, day, outcome, at, back_to, whole)


def _squeezed(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    outcome: BatchOutcome,
    at: datetime,
    came_before: int,
) -> Book:
    """The book with the squeeze at the stand, as that at packing is written down; ``came_before``
    of the fruit that came back are a batch of their own by now."""
    batch = require_batch(book, outcome.batch_id)
    crop = crops.get(batch.crop)
    counts = (outcome.came_back, 0, outcome.sold, 0, outcome.thrown)
    there = whole_fruit(fruit_left(book, crops, batch, at)) + came_before
    if crop is None or crop.judged_by == "nothing" or outcome.came_back < 1 or sum(counts) > there:
        return book  # numbers that cannot be are refused next
    squeeze = Check(
        id=stand_squeeze(day.id, batch.id),
        batch_id=batch.id,
        at=at,
        feel_counts=counts,
        eat_within_days=days_of(day, buyers_days(crop)),
        picked_from=there,
    )
    return book.with_changes([squeeze])


def _require_numbers(batch: Batch, outcome: BatchOutcome) -> None:
    for what in ("brought", "sold", "thrown"):
        require_count(what, getattr(outcome, what), batch)
    if outcome.came_back < 0:
        raise Refusal(
            field_of("sold" if outcome.sold > outcome.brought else "thrown", batch.id),
            "{gone} of {code} were sold or thrown away, but only {brought} were brought.",
            gone=outcome.sold + outcome.thrown,
            code=batch.code,
            brought=outcome.brought,
        )
    if outcome.price_minor is not None and not 0 <= outcome.price_minor <= DEAREST_MINOR:
        raise Refusal(
            field_of("price_minor", batch.id), "The price of one fruit must be 0 or more."
        )


def _require_there(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch: Batch,
    outcome: BatchOutcome,
    at: datetime,
    there: float,
    back: int,
) -> None:
    """Refuse fruit that was not there to be brought, or was taken out of the batch since."""
    if at < batch.picked_at:
        raise Refusal(
            field_of("brought", batch.id), "That is before {code} was picked.", code=batch.code
        )
    if outcome.brought > whole_fruit(there):
        raise Refusal(
            field_of("brought", batch.id),
            "{code} had only {there} fruit then, so {brought} cannot have been brought.",
            brought=outcome.brought,
            code=batch.code,
            there=whole_fruit(there),
        )
    left = whole_fruit(fruit_left(book, crops, batch))
    if outcome.sold + outcome.thrown > left:
        raise Refusal(
            field_of("sold", batch.id),
            "Only {left} of {code} are not sold or discarded yet.",
            code=batch.code,
            left=left,
        )


def _require_same(
    book: Book,
    day: MarketDay,
    outcome: BatchOutcome,
    back_to: str | None,
    came_before: int,
) -> None:
    """Refuse another number than what came back once that part has a story of its own."""
    part = book.batches[part_that_came_back(day.id, outcome.batch_id)]
    came = book.moves.get(move_back(part.id, part.id))
    same_place = came is None or came.place_id == back_to
    if outcome.came_back != came_before or not same_place:
        code = book.batches[outcome.batch_id].code
        raise Refusal(
            field_of("sold", outcome.batch_id) if same_place else "back_to",
            "{count} of {code} came back as {part}, and {part} has changed since. Keep the "
            "number and the place, or edit {part} instead.",
            count=came_before,
            code=code,
            part=part.code,
        )


def _come_back(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    outcome: BatchOutcome,
    at: datetime,
    back_to: str,
    whole: bool,
) -> Book:
    """The book once what is left of an outcome has come to the place ``back_to``."""
    batch = book.batches[outcome.batch_id]
    if place_at(moves_of(book, batch.id), at) == back_to:
        return book
    moved, move_id = batch.id, move_back(day.id, batch.id)
    try:
        if not whole:
            part_id = part_that_came_back(day.id, batch.id)
            book, part = split_off(book, crops, batch.id, outcome.came_back, part_id)
            moved, move_id = part.id, move_back(part.id, part.id)
        return moved_to(book, moved, back_to, at, move_id)
    except Refusal as refusal:
        raise Refusal("back_to", refusal.text, **refusal.values) from refusal
