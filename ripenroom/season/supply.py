"""How much fruit of each crop will be ready on each market day."""

from collections.abc import Mapping

from ripenroom.records.book import Book
from ripenroom.science.supply import ready_fruit, ready_shares
from ripenroom.season.buyers import all_days, kitchens_of
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.felt_ready import felt_ready
from ripenroom.season.findings import Supply
from ripenroom.season.kinds import CropKind
from ripenroom.season.moments import column
from ripenroom.season.outlook import BookOutlook


def supply(
    outlook: BookOutlook, book: Book, constants: Mapping[CropKind, CropConstants]
) -> tuple[Supply, ...]:
    """Wanted and ready fruit of every want, in the order of market days and crops.

    Fruit counts for a market day if it is not past when the market begins, and is ready then or
    becomes ready in its buyers' kitchens within the days in which they eat it.
    """
    days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    wants = sorted(book.wants.values(), key=lambda want: want.crop)
    if not days:
        return ()
    if not outlook.lines.ids:
        return tuple(
            Supply(day.id, want.crop, want.count, 0.0, 0.0, 0.0)
            for day in days
            for want in wants
            if want.market_day_id == day.id
        )
    fruit = outlook.lines.left_at(column(day.starts_at for day in days))
    crops = [constants[kind] for kind in outlook.lines.kinds]
    expected, levels = ready_shares(
        outlook,
        column(day.starts_at for day in days),
        all_days(days, crops),
        kitchens_of(outlook.lines, crops),
    )
    for pin in book.pins.values():
        if felt_ready(pin, book) and pin.batch_id in outlook.lines.ids:
            on = next(n for n, day in enumerate(days) if day.id == pin.market_day_id)
            line = outlook.lines.ids.index(pin.batch_id)
            expected[line, on] = levels[line, on] = 1.0
    number = {key: n for n, key in enumerate(outlook.lines.crop_keys)}
    found = []
    for which, day in enumerate(days):
        for want in (w for w in wants if w.market_day_id == day.id):
            of_crop = fruit[:, which] * (outlook.lines.crop == number.get(want.crop, -1))
            low, ready, high = ready_fruit(of_crop, expected[:, which], levels[:, which, :])
            found.append(Supply(day.id, want.crop, want.count, ready, low, high))
    return tuple(found)
