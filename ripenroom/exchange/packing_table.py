"""The packing list of a market day as a table: a row for crates of a batch that go one way."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.season.packing import PackingList, PackingOfCrop, PackLine
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "order",
    "do",
    "crop",
    "batch",
    "crates",
    "fruit",
    "place",
    "ready",
    "ready_low",
    "ready_high",
    "later_market_day",
)


def packing_table(season: Season, packing: PackingList) -> "pd.DataFrame":
    """What to ``take``, what to ``open next`` in order, what to ``leave``.

    ``ready`` is how many of the fruit are expected to feel ready, with the range that holds it four
    times in five; ``later_market_day`` is what crates that stay are for. What is left has no order.
    """
    import pandas as pd

    rows = [row for crop in packing.crops for row in _rows(season, crop)]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _rows(season: Season, crop: PackingOfCrop) -> Iterator[tuple[object, ...]]:
    opened = [("take", line) for line in crop.take]
    opened += [("open next", line) for line in crop.open_next]
    for number, (do, line) in enumerate(opened, start=1):
        yield number, do, *_cells(season, crop.crop, line)
    for line in crop.leave:
        yield "", "leave", *_cells(season, crop.crop, line)


def _cells(season: Season, crop: str, line: PackLine) -> tuple[object, ...]:
    book, ready = season.book, line.ready
    return (
        crop,
        book.batches[line.batch_id].code,
        line.crates,
        line.fruit,
        book.places[line.place_id].name,
        round(ready.mid),
        round(ready.low),
        round(ready.high),
        day_label(season, line.later_day_id),
    )


def day_label(season: Season, market_day_id: str | None) -> str:
    """A market day by its date and name, as a plan's table has it; empty for none."""
    day = season.book.market_days.get(market_day_id or "")
    return f"{day.starts_at.astimezone(season.zone):%Y-%m-%d} {day.name}" if day else ""
