"""What became of the fruit that was brought to a market day: sold, thrown away, or come back.

A market day can be settled again: what was written down of it before is then replaced. The parts
of batches that came back have ids that follow from the market day and the batch, so that they are
found again.
"""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ripenroom.records.batch import Batch, Brought, Outcome, Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.identity import new_id
from ripenroom.records.market import MarketDay
from ripenroom.records.refusal import Refusal
from ripenroom.season.changes.amounts_left import LEAST_FRUIT, fruit_left, whole_fruit
from ripenroom.season.changes.batches import require_batch
from ripenroom.season.changes.carrying import moved_to, place_at
from ripenroom.season.changes.change import NamedChange, require_not_ahead
from ripenroom.season.changes.firmness import MOST_FRUIT
from ripenroom.season.changes.places import require_place
from ripenroom.season.changes.splitting import joined, named_change, split_off
from ripenroom.season.moments import CLOCK_SLACK
from ripenroom.season.moves import moves_of

_NAMES = uuid.UUID("5f6f2d0e-6b0e-4f0e-9c51-0d1b8f6d6a57")

_DEAREST_MINOR = 100_000_000


@dataclass(frozen=True, slots=True)
class BroughtOutcome:
    """So many fruit of a batch were ``brought``, ``sold`` (each for ``price_minor``, if known) and
    ``thrown`` away; the others came back."""

    batch_id: str
    brought: int
    sold: int
    thrown: int
    price_minor: int | None = None

    @property
    def came_back(self) -> int:
        """Fruit that was neither sold nor thrown away."""
        return self.brought - self.sold - self.thrown


def field_of(what: str, batch_id: str) -> str:
    """The field that a refusal names: ``what`` (brought, sold, thrown, price_minor) of a batch."""
    return f"{what} {batch_id}"


def part_that_came_back(market_day_id: str, batch_id: str) -> str:
    """Id of the batch that is split off a batch when a part of it comes back from a market day."""
    return str(uuid.uuid5(_NAMES, f"part/{market_day_id}/{batch_id}"))


def move_back(market_day_id: str, batch_id: str) -> str:
    """Id of the move that a whole batch makes when it comes back from a market day."""
    return str(uuid.uuid5(_NAMES, f"move/{market_day_id}/{batch_id}"))


def settle(
    book: Book,
    crops: Mapping[str, CropProfile],
    market_day_id: str,
    outcomes: Sequence[BroughtOutcome],
    at: datetime,
    back_to: str | None,
    now: datetime,
) -> NamedChange:
    """Write down what became of a market day that was over ``at`` that time.

    What came back is where it was before, or in the place ``back_to``. Pins for the market day
    have served.
    """
    day = _require_begun(book, market_day_id, now)
    require_not_ahead("at", at, now)
    if at < day.starts_at:
        raise Refusal("at", "{name} began later than that.", name=day.name)
    if back_to is not None:
        require_place(book, back_to)
    after = unsettled(book, day)
    came_before = parts_used_since(book, after, day)
    seen: set[str] = set()
    for outcome in outcomes:
        if outcome.batch_id in seen:
            code = book.batches[outcome.batch_id].code
            raise Refusal(
                field_of("brought", outcome.batch_id),
                "{code} is there twice; put all of it on one line.",
                code=code,
            )
        seen.add(outcome.batch_id)
        came = came_before.get(outcome.batch_id)
        after = _with_outcome(after, crops, day, outcome, at, back_to, came)
    for batch_id in came_before.keys() - seen:
        nothing = BroughtOutcome(batch_id, 0, 0, 0)
        _require_same(after, day, nothing, back_to, came_before[batch_id])
    served = [pin for pin in book.pins.values() if pin.market_day_id == day.id]
    settled = replace(day, settled_at=now.replace(microsecond=0))
    after = after.with_changes([settled], served)
    return named_change(f"what became of {day.name}", book, after)


def _require_begun(book: Book, market_day_id: str, now: datetime) -> MarketDay:
    day = book.market_days.get(market_day_id)
    if day is None:
        raise Refusal("", "This market day is not in the season any more.")
    if day.starts_at > now + CLOCK_SLACK:
        raise Refusal(
            "", "{name} lies ahead; what became of it is written down afterwards.", name=day.name
        )
    return day


def outcomes_of(book: Book, market_day_id: str) -> tuple[BroughtOutcome, ...]:
    """What is written down of a market day so far, batch by batch in the order of their codes.

    Fruit that was sold without a word on how many were brought was brought for that.
    """
    gone: dict[tuple[str, Outcome], int] = {}
    prices: dict[str, int] = {}
    brought: dict[str, int] = {}
    for removal in book.removals.values():
        if removal.market_day_id == market_day_id:
            key = removal.batch_id, removal.outcome
            gone[key] = gone.get(key, 0) + removal.count
            brought[removal.batch_id] = brought.get(removal.batch_id, 0) + removal.count
            if removal.price_minor is not None:
                prices[removal.batch_id] = removal.price_minor
    for record in book.brought.values():
        if record.market_day_id == market_day_id:
            brought[record.batch_id] = record.count
    return tuple(
        BroughtOutcome(
            batch_id,
            brought[batch_id],
            gone.get((batch_id, "sold"), 0),
            gone.get((batch_id, "discarded"), 0),
            prices.get(batch_id),
        )
        for batch_id in sorted(brought, key=lambda b: book.batches[b].code)
    )


def came_back_to(book: Book, market_day_id: str) -> str | None:
    """The place to which fruit came back from a market day, if it was another than before."""
    for batch_id in _brought(book, market_day_id):
        part_id = part_that_came_back(market_day_id, batch_id)
        for move_id in (move_back(market_day_id, batch_id), move_back(part_id, part_id)):
            if move_id in book.moves:
                return book.moves[move_id].place_id
    return None


def _brought(book: Book, market_day_id: str) -> list[str]:
    return [b.batch_id for b in book.brought.values() if b.market_day_id == market_day_id]


def parts_used_since(book: Book, before: Book, day: MarketDay) -> dict[str, int]:
    """How many fruit of each batch came back as a part that has a story of its own by now.

    ``before`` is the book as :func:`unsettled` leaves it.
    """
    return {
        outcome.batch_id: outcome.came_back
        for outcome in outcomes_of(book, day.id)
        if part_that_came_back(day.id, outcome.batch_id) in before.batches
    }


def unsettled(book: Book, day: MarketDay) -> Book:
    """The book before the market day was settled, but for parts that were used since."""
    gone = [
        record
        for shelf in (book.removals, book.brought)
        for record in shelf.values()
        if record.market_day_id == day.id
    ]
    after = book.with_changes(deleted=gone)
    for batch_id in _brought(book, day.id):
        back = after.moves.get(move_back(day.id, batch_id))
        after = after.with_changes(deleted=() if back is None else (back,))
        part = after.batches.get(part_that_came_back(day.id, batch_id))
        if part is not None and not _used(after, part):
            after = joined(after, part)
    return after


def _used(book: Book, part: Batch) -> bool:
    """Whether more was written down of a part than that it came back."""
    if part.split_from not in book.batches:
        return True
    hanging = (book.removals, book.checks, book.pins, book.brought)
    if any(r.batch_id == part.id for shelf in hanging for r in shelf.values()):
        return True
    if any(b.split_from == part.id for b in book.batches.values()):
        return True
    came = book.moves.get(move_back(part.id, part.id))
    if came is None:
        return True
    # Where the rest of the batch was to go, the part was to go as well.
    known = {(move.at, move.place_id) for move in moves_of(book, part.split_from or "")}
    later = (move for move in moves_of(book, part.id) if move.at > came.at)
    return any((move.at, move.place_id) not in known for move in later)


def _with_outcome(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    outcome: BroughtOutcome,
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


def _require_numbers(batch: Batch, outcome: BroughtOutcome) -> None:
    for what in ("brought", "sold", "thrown"):
        count = getattr(outcome, what)
        if not 0 <= count <= MOST_FRUIT:
            raise Refusal(
                field_of(what, batch.id),
                "{count} fruit of {code}: give a whole number from 0 to {most}.",
                count=count,
                code=batch.code,
                most=MOST_FRUIT,
            )
    if outcome.came_back < 0:
        raise Refusal(
            field_of("sold" if outcome.sold > outcome.brought else "thrown", batch.id),
            "{gone} of {code} were sold or thrown away, but only {brought} were brought.",
            gone=outcome.sold + outcome.thrown,
            code=batch.code,
            brought=outcome.brought,
        )
    if outcome.price_minor is not None and not 0 <= outcome.price_minor <= _DEAREST_MINOR:
        raise Refusal(
            field_of("price_minor", batch.id), "The price of one fruit must be 0 or more."
        )


def _require_there(
    book: Book,
    crops: Mapping[str, CropProfile],
    batch: Batch,
    outcome: BroughtOutcome,
    at: datetime,
    there: float,
    back: int,
) -> None:
    """Refuse fruit that was not there to be brought, or was taken out of the batch since."""
    if at < batch.picked_at:
        raise Refusal(
            field_of("brought", batch.id), "{code} was picked later than that.", code=batch.code
        )
    if outcome.brought > whole_fruit(there):
        raise Refusal(
            field_of("brought", batch.id),
            "{brought} of {code} cannot have been brought: it had {there} then.",
            brought=outcome.brought,
            code=batch.code,
            there=whole_fruit(there),
        )
    left = whole_fruit(fruit_left(book, crops, batch))
    if outcome.sold + outcome.thrown > left:
        raise Refusal(
            field_of("sold", batch.id),
            "Of {code} only {left} are not yet written down as sold or discarded.",
            code=batch.code,
            left=left,
        )


def _require_same(
    book: Book,
    day: MarketDay,
    outcome: BroughtOutcome,
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
            "{count} of {code} came back as {part}, of which more was written down since. Keep "
            "the number and the place, or mend {part} instead.",
            count=came_before,
            code=code,
            part=part.code,
        )


def _come_back(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    outcome: BroughtOutcome,
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
