"""Rests: crates with so few fruit left that they are not worth carrying out of the way."""

from collections.abc import Mapping

from ripenroom.planning.caution import HURDLE
from ripenroom.planning.relaxation import HANDLING
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.amounts import crates_of, fruit_left, fruit_per_crate
from ripenroom.season.plans.after_last_market import LATER_PRICE

WORTH_CARRYING = (HANDLING + HURDLE) / LATER_PRICE
"""With less than this part of a full crate's fruit, all of it sold later would not bring what a
move has to bring: of 25 pawpaws four, mostly those that stay hard when all others are sold."""


def is_rest(book: Book, crops: Mapping[str, CropProfile], batch_id: str) -> bool:
    """Whether a batch's crates hold so few fruit; False of a crop that nobody knows."""
    batch = book.batches[batch_id]
    if batch.crop not in crops:
        return False
    left, full = fruit_left(book, crops, batch), fruit_per_crate(crops, batch)
    return left < WORTH_CARRYING * full * crates_of(left, full)
