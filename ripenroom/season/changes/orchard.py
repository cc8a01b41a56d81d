"""Making, changing and deleting cultivars and rows, and changing the season itself."""

import re
from collections.abc import Collection
from dataclasses import replace
from zoneinfo import ZoneInfo, available_timezones

from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import Season
from ripenroom.season.changes.change import NamedChange, require_between, require_name
from ripenroom.season.moments import EARLIEST_YEAR, LATEST_YEAR, start_of_day

_PACES = (0.2, 5.0)
"""The slowest and fastest a cultivar may be beside its crop; beyond that it is another crop."""


MOST_CRATES = 10_000
"""More crates than this in one evening are a slip of the hand."""


def save_cultivar(book: Book, crops: Collection[str], cultivar: Cultivar) -> NamedChange:
    """Make or change a cultivar."""
    others = (
        c.name for c in book.cultivars.values() if c.id != cultivar.id and c.crop == cultivar.crop
    )
    cultivar = replace(cultivar, name=require_name(cultivar.name, others, "cultivar"))
    if cultivar.crop not in crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=cultivar.crop)
    require_between(
        "rate_factor", cultivar.rate_factor, *_PACES, "Its pace beside other cultivars", " times"
    )
    old = book.cultivars.get(cultivar.id)
    if old is not None and old.crop != cultivar.crop:
        _require_unused(book, old)
    return NamedChange(f"{'change of' if old else 'new cultivar'} {cultivar.name}", (cultivar,))


def _require_unused(book: Book, cultivar: Cultivar) -> None:
    """Refuse another crop for a cultivar that something of its crop names."""
    if any(b.cultivar_id == cultivar.id for b in book.batches.values()):
        raise Refusal("crop", "Batches of “{name}” exist; its crop stays.", name=cultivar.name)
    if any(pick.cultivar_id == cultivar.id for pick in book.expected_picks.values()):
        raise Refusal("crop", "A pick of “{name}” is expected; its crop stays.", name=cultivar.name)


def delete_cultivar(book: Book, cultivar_id: str) -> NamedChange:
    """Delete a cultivar that no batch, no row and no expected pick names."""
    cultivar = book.cultivars.get(cultivar_id)
    if cultivar is None:
        raise Refusal("", "This cultivar is not in the season any more.")
    named = {b.cultivar_id for b in book.batches.values()}
    named |= {row.cultivar_id for row in book.rows.values()}
    if cultivar_id in named:
        raise Refusal(
            "", "“{name}” is named by batches or rows; rename it instead.", name=cultivar.name
        )
    if any(pick.cultivar_id == cultivar_id for pick in book.expected_picks.values()):
        raise Refusal(
            "",
            "A pick of “{name}” is expected; change or delete the expected pick first.",
            name=cultivar.name,
        )
    return NamedChange(f"deletion of {cultivar.name}", deleted=(cultivar,))


def save_row(book: Book, row: Row) -> NamedChange:
    """Make or change a row of trees."""
    others = (r.name for r in book.rows.values() if r.id != row.id)
    row = replace(row, name=require_name(row.name, others, "row"))
    if row.cultivar_id is not None and row.cultivar_id not in book.cultivars:
        raise Refusal("cultivar_id", "This cultivar is not in the season any more; choose again.")
    if row.trees is not None and not 0 <= row.trees <= 1_000_000:
        raise Refusal("trees", "How many trees? Give a whole number from 0 up.")
    return NamedChange(f"{'change of' if row.id in book.rows else 'new row'} {row.name}", (row,))


def delete_row(book: Book, row_id: str) -> NamedChange:
    """Delete a row that no batch names."""
    row = book.rows.get(row_id)
    if row is None:
        raise Refusal("", "This row is not in the season any more.")
    if any(b.row_id == row_id for b in book.batches.values()):
        raise Refusal("", "Batches were picked in “{name}”; rename it instead.", name=row.name)
    return NamedChange(f"deletion of {row.name}", deleted=(row,))


def check_season(season: Season) -> Season:
    """The season with a tidy name; refuse one that cannot be."""
    season = replace(season, name=require_name(season.name, (), "season"))
    if not EARLIEST_YEAR <= season.first_day.year <= LATEST_YEAR:
        raise Refusal(
            "first_day",
            "A season in the year {year} cannot be; the year is from {earliest} to {latest}.",
            year=season.first_day.year,
            earliest=EARLIEST_YEAR,
            latest=LATEST_YEAR,
        )
    if season.zone not in available_timezones():
        raise Refusal("zone", "There is no time zone “{zone}”.", zone=season.zone)
    if re.fullmatch("[A-Z]{3}", season.currency) is None:
        raise Refusal("currency", "Give the currency by its three letters, such as EUR or USD.")
    crates = season.crates_moved_per_evening
    if crates is not None and not 1 <= crates <= MOST_CRATES:
        raise Refusal(
            "crates_moved_per_evening",
            "Crates moved in an evening: give a whole number from 1 to {most}, or leave it empty "
            "where hands are no limit.",
            most=MOST_CRATES,
        )
    return season


def save_season(book: Book, season: Season) -> NamedChange:
    """Change the season's name, zone, first day, units, currency or hands for moving crates."""
    season = check_season(season)
    first = start_of_day(season.first_day, ZoneInfo(season.zone))
    earliest = min((b.picked_at for b in book.batches.values()), default=None)
    if earliest is not None and earliest < first:
        raise Refusal("first_day", "Fruit was picked before that day; choose an earlier first day.")
    return NamedChange("change of the season", (season,))
