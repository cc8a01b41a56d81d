"""Why a pin is left out of a plan, in words."""

import pytest

from ripenroom.records.book import Book
from ripenroom.records.market import Pin
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason
from ripenroom.wording.plan.itineraries import broken_pin_words
from tests.season.farm import SHELF, batch_and_move, season_record


@pytest.mark.parametrize("reason", list(BrokenPinReason))
def test_it_names_the_batch_and_says_why(reason: BrokenPinReason) -> None:
    batch, move = batch_and_move(1, SHELF, count=40)
    pin = Pin(id="pin", batch_id=batch.id, crates=1)
    book = Book(season_record()).with_changes((batch, move, pin))
    told = broken_pin_words(BrokenPin("pin", reason), book)
    start, end = f"A pin of {batch.code} cannot be kept: ", "."
    assert told.startswith(start)
    assert told.endswith(end)
    assert len(told) > len(start + end) + 5
