"""What was found of a batch at its pick and in its checks, as marks for its chart."""

from dataclasses import dataclass

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.moments import to_hours
from ripenroom.units import newtons


@dataclass(frozen=True, slots=True)
class Found:
    """One reading (``low_n`` is ``high_n``), or the ``share`` of fruit of one feel.

    In newtons, or percent green where fruit is judged by colour; ``at_h`` in hours.
    """

    at_h: float
    low_n: float
    high_n: float
    share: float | None


def found_of(book: Book, batch: Batch, crop: CropProfile) -> tuple[Found, ...]:
    """Everything that was found of a batch, earliest first; of checks only those that count."""
    if crop.judged_by == "nothing":
        return ()
    seen: list[Batch | Check] = [batch]
    seen += [c for c in book.checks.values() if c.batch_id == batch.id and c.counted]
    marks = [mark for one in seen for mark in _marks(one, crop)]
    return tuple(sorted(marks, key=lambda mark: mark.at_h))


def _marks(one: Batch | Check, crop: CropProfile) -> list[Found]:
    at_h = to_hours(one.picked_at if isinstance(one, Batch) else one.at)
    if one.feel_counts is not None:
        firmness, feel = crop.firmness, crop.feel
        edges = (
            firmness.highest_n.value,
            feel.slight_give_n.value,
            feel.gives_n.value,
            feel.soft_n.value,
            feel.too_soft_n.value,
            firmness.lowest_n.value,
        )
        all_fruit = sum(one.feel_counts) or 1
        return [
            Found(at_h, edges[n + 1], edges[n], count / all_fruit)
            for n, count in enumerate(one.feel_counts)
            if count
        ]
    read = (newtons(reading, one.reading_unit or "N") for reading in one.readings)
    return [Found(at_h, newton, newton, None) for newton in read]
