"""What a season holds that nothing can be worked out for, though its file opens."""

from collections.abc import Iterator

from ripenroom.records.book import Book
from ripenroom.season.moves import moves_by_batch
from ripenroom.season.own_crops import crops_of, own_crops_of


def left_out(book: Book) -> Iterator[str]:
    """In words: own crops that cannot be read, and batches that no date is given for.

    A batch of a crop that cannot be read is named by its crop.
    """
    crops = crops_of(book)
    yield from crops.problems
    named = {own.key for own in own_crops_of(book)} | set(crops.profiles)
    moves = moves_by_batch(book)
    for batch in sorted(book.batches.values(), key=lambda b: (b.code, b.id)):
        if batch.crop not in named:
            yield f"The batch “{batch.code:.40}”: there is no crop “{batch.crop:.40}” here."
        elif batch.id not in moves:
            yield f"The batch “{batch.code:.40}” waits nowhere."
