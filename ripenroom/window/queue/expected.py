"""Picks that are expected, as lines of the queue."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, tzinfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.queue.batch_order import Filter
from ripenroom.window.queue.time_view import span_of
from ripenroom.wording.names import crop_name


@dataclass(frozen=True, slots=True)
class Expected:
    """One expected pick: how many fruit of what, from which hour on (noon of its day) and where."""

    pick_id: str
    on: date
    crop_key: str
    crop: str
    cultivar: str
    place: str
    count: int
    picked_h: float


def expected_of(
    book: Book, today: date, crops: Mapping[str, CropProfile], keep: Filter, zone: tzinfo
) -> tuple[Expected, ...]:
    """Expected picks from today on that the filter lets through, the next first."""
    found = []
    for pick in sorted(book.expected_picks.values(), key=lambda one: (one.on, one.crop, one.id)):
        cultivar = book.cultivars.get(pick.cultivar_id or "")
        crop = crop_name(crops, pick.crop)
        place = book.places[pick.place_id].name if pick.place_id in book.places else ""
        if pick.on < today or (keep.crop or crop) != crop or (keep.place or place) != place:
            continue
        if pick.nothing_more:
            continue
        first_h, last_h = span_of(pick.on, zone)
        found.append(
            Expected(
                pick_id=pick.id,
                on=pick.on,
                crop_key=pick.crop,
                crop=crop,
                cultivar=cultivar.name if cultivar else "",
                place=place,
                count=pick.count,
                picked_h=(first_h + last_h) / 2.0,
            )
        )
    return tuple(found)
