"""Fruit that is away: packed for a market day that has begun, until that is settled.

What comes back is said when the market day is settled. Until then nothing can be done with it, and
nobody knows how much of it is sold.
"""

from collections.abc import Mapping
from datetime import datetime

from ripenroom.records.batch import Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay
from ripenroom.records.pin import Pin
from ripenroom.season.amounts_left import fruit_in, fruit_left, fruit_per_crate, whole_fruit


def market_of(batch_id: str, book: Book, now: datetime) -> MarketDay | None:
    """The market day at which fruit of a batch is; None where all of it is at home."""
    days = (_market_of(pin, book, now) for pin in book.pins.values() if pin.batch_id == batch_id)
    return next((day for day in days if day is not None), None)


def is_away(pin: Pin, book: Book, now: datetime) -> bool:
    """Whether the crates of a pin stand packed at a market day that has begun."""
    return _market_of(pin, book, now) is not None


def at_home(book: Book, crops: Mapping[str, CropProfile], now: datetime) -> Book:
    """The book as if all that is away was gone, and without its pins; the book itself where
    nothing is. It is to reckon with, not to be kept."""
    away = [(pin, day) for pin in book.pins.values() if (day := _market_of(pin, book, now))]
    for pin, day in away:
        batch = book.batches[pin.batch_id]
        fruit = 0
        if batch.crop in crops:
            left = fruit_left(book, crops, batch)
            fruit = whole_fruit(fruit_in(pin.crates, left, fruit_per_crate(crops, batch)))
        gone = Removal(
            id=f"away {pin.id}",
            batch_id=batch.id,
            at=max(day.starts_at, pin.packed_at or day.starts_at),
            count=fruit,
            outcome="sold",
            market_day_id=day.id,
        )
        book = book.with_changes([gone] if fruit else [], [pin])
    return book


def _market_of(pin: Pin, book: Book, now: datetime) -> MarketDay | None:
    """The market day at which the crates of a pin are; None where they are not away."""
    day = book.market_days.get(pin.market_day_id or "")
    if pin.packed_at is None or day is None or day.starts_at > now or day.settled_at is not None:
        return None
    return day
