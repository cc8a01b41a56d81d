"""Why a pinned crate cannot go where it was pinned to."""

from ripenroom.records.book import Book
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason
from ripenroom.texts import tr


def broken_pin_words(broken: BrokenPin, book: Book) -> str:
    """Which batch, and why: ``"A pin of P-0914-2 cannot be kept: the place is gone."``."""
    batch = book.batches.get(book.pins[broken.pin_id].batch_id)
    return tr("A pin of {code} cannot be kept: {reason}.").format(
        code=batch.code if batch else "?", reason=broken_words(broken.reason)
    )


def broken_words(reason: BrokenPinReason) -> str:
    """Why a pin cannot be kept."""
    return {
        "batch gone": tr("the batch is gone"),
        "fewer crates": tr("it has fewer crates left"),
        "market over": tr("the market day is over"),
        "place gone": tr("the place is gone"),
        "pull over": tr("the time of the move is over"),
        "moved later": tr("a later move of it is already entered"),
        "pull after market": tr("the move comes after the market day"),
    }[reason.value]
