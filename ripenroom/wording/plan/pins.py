"""Why crates cannot be pinned, and why pinned ones cannot go where they were pinned to."""

from ripenroom.records.book import Book
from ripenroom.season.plans.decisions import Unpinnable, unpinnable
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason, PlannedItinerary
from ripenroom.texts import tr


def why_not_pinned(line: PlannedItinerary, book: Book) -> str:
    """Why a planned line can be neither pinned as it is nor unpinned; empty if it can."""
    because = unpinnable(line, book)
    if because is None:
        return ""
    return {
        Unpinnable.EXPECTED: tr(
            "This pick is only expected; it can be pinned once you entered it."
        ),
        Unpinnable.PACKED: tr("These crates are packed; first untick that under Today."),
        Unpinnable.SECOND_GRADE: tr("Crates for second grade cannot be pinned."),
        Unpinnable.CLEARED: tr("Crates that are cleared away cannot be pinned."),
        Unpinnable.MOVES_TWICE: tr(
            "Crates that move twice can be pinned once the first move is made."
        ),
    }[because]


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
