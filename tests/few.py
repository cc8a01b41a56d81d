"""A season like the practice one, in which much less is to be decided."""

from pathlib import Path

from ripenroom.records.book import Record
from ripenroom.records.file import SeasonFile
from ripenroom.season import actions
from ripenroom.season.season import Season


def keep_few(path: Path, batches: int = 4, market_days: int = 2, *, used_up: bool = False) -> None:
    """Leave a season file of practice with few pawpaws, no more to come, and few market days; with
    batches of which nothing is left, if they are to stay."""
    season = Season.open(path)
    projection, book = season.projection(), season.book
    left = dict(zip(projection.batch_ids, projection.left.tolist(), strict=True))
    there = [key for key, fruit in left.items() if fruit > 0]
    pawpaws = [key for key in there if book.batches[key].crop == "pawpaw"]
    stay = {*pawpaws[:batches], *(book.batches.keys() - set(there) if used_up else ())}
    gone = [key for key in book.batches if key not in stay]
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
