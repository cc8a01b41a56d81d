"""What the page Today says of the rows of trees: which to walk, what to pick, and frost."""

from ripenroom.season.orchard.orchard_types import FrostForecast, OrchardForecast
from ripenroom.texts import tr, tr_n
from ripenroom.wording.names import begun
from ripenroom.wording.reader import Reader
from ripenroom.wording.rows import (
    by_day,
    count_words,
    first_to_walk,
    frost_words,
    why_walk,
)
from ripenroom.wording.today.items import Item, ItemGroup

_MOST_WALKS = 4
_NEAR_CHANCE = 0.05
"""From this chance of frost within a week on it is told; before that the page Rows has it."""

_FEWEST = 1.0


def rows_groups(reader: Reader) -> list[ItemGroup]:
    """Nothing where no row has fruit that was counted, and before the first plan: it is beside the
    window that the rows are learned, as the plan counts on their picks."""
    book = reader.season.book
    counted = any(row.fruit_on_trees or row.branch_counts for row in book.rows.values())
    if reader.plans.plan is None or not counted:
        return []
    forecast = reader.season.ask.orchard()
    items = [*_walks(forecast, reader), *_picks(forecast, reader), *_frost(forecast, reader)]
    if not items:
        return []
    return [ItemGroup(tr("In the rows, going by counts and walks"), tuple(items), True)]


def _walks(forecast: OrchardForecast, reader: Reader) -> list[Item]:
    book, items = reader.season.book, []
    due = [row for row in first_to_walk(forecast, reader) if row.row_id in book.rows]
    for row in due[:_MOST_WALKS]:
        text = tr("Walk {row}").format(row=book.rows[row.row_id].name)
        why = begun(why_walk(row, reader))
        items.append(Item(text, why, f"rows:{row.row_id}"))
    if len(due) > _MOST_WALKS:
        more = tr_n("and {n} more row", "and {n} more rows", len(due) - _MOST_WALKS)
        items.append(Item(more, "", "rows:"))
    return items


def _picks(forecast: OrchardForecast, reader: Reader) -> list[Item]:
    """What there is to pick until the next market day, all rows of a cultivar together."""
    season, by, items = reader.season, by_day(reader), list[Item]()
    for each in forecast.cultivars:
        cultivar = season.book.cultivars.get(each.cultivar_id)
        rows = [row for row in season.book.rows.values() if row.cultivar_id == each.cultivar_id]
        told = [row for row in rows if forecast.of_row(row.id)]
        if cultivar is None or not told:
            continue
        count = each.by(by, forecast.on)
        if count.mid < _FEWEST:
            continue
        text = tr("{count} {what} to pick by {day}").format(
            count=begun(count_words(count, reader.words)),
            what=cultivar.name,
            day=reader.words.day(by),
        )
        names = ", ".join(sorted(row.name for row in told))
        items.append(Item(text, names, f"rows:{told[0].id}"))
    return items


def _frost(forecast: OrchardForecast, reader: Reader) -> list[Item]:
    frost: FrostForecast | None = forecast.frost
    if frost is None:
        return []
    falling = bool(frost.nights) and frost.left[0] > 0.0
    near = falling or sum(frost.chance[:8]) >= _NEAR_CHANCE
    return [Item(frost_words(frost, reader), "", "rows:")] if near else []
