"""A season like the practice one, in which much less is to be decided."""

from pathlib import Path

from ripenroom.records.book import Record
from ripenroom.records.file import SeasonFile
from ripenroom.season import actions
from ripenroom.season.season import Season


def keep_few(path: Path, batches: int = 4, market_days: int = 2) -> None:
    """Leave a season file of practice with few pawpaws, no more to come, and few market days."""
    season = Season.open(path)
    projection, book = season.projection(), season.book
    left = zip(projection.batch_ids, projection.left.tolist(), strict=True)
    pawpaws = [key for key, fruit in left if fruit > 0 and book.batches[key].crop == "pawpaw"]
    gone = [key for key in book.batches if key not in pawpaws[:batches]]
    season.do(actions.batches.delete, gone)
    days = sorted(
        (day for day in book.market_days.values() if day.starts_at > season.now()),
        key=lambda day: day.starts_at,
    )[market_days:]
    season.close()
    file = SeasonFile.open(path)
    book = file.read()
    ids = {day.id for day in days}
    wants = [want for want in book.wants.values() if want.market_day_id in ids]
    pins = [pin for pin in book.pins.values() if pin.market_day_id in ids]
    ahead: list[Record] = [*book.walks.values(), *book.expected_picks.values()]
    file.write("fewer", (), [*ahead, *wants, *pins, *days])
    file.close()
