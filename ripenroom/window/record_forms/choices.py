"""What the lists of a pick offer: rows, crops with their cultivars, places."""

from collections.abc import Mapping

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.names import by_name, crop_name

Offer = list[tuple[object, str]]


def row_choices(book: Book, none: str) -> Offer:
    """Rows by name, after the choice of no row."""
    rows = sorted(book.rows.values(), key=lambda row: by_name(row.name))
    return [(None, none), *((row.id, row.name) for row in rows)]


def crop_choices(book: Book, crops: Mapping[str, CropProfile]) -> Offer:
    """``(crop, cultivar id)`` pairs: the season's cultivars first, then every crop as such."""
    cultivars = sorted(book.cultivars.values(), key=lambda c: (c.crop, by_name(c.name)))
    named: Offer = [
        ((cultivar.crop, cultivar.id), f"{crop_name(crops, cultivar.crop)} · {cultivar.name}")
        for cultivar in cultivars
    ]
    used = {cultivar.crop for cultivar in cultivars}
    bare = sorted(crops, key=lambda key: (key not in used, crops[key].name))
    return named + [((key, None), crops[key].name) for key in bare]


def place_choices(book: Book) -> Offer:
    """Places by name."""
    places = sorted(book.places.values(), key=lambda place: by_name(place.name))
    return [(place.id, place.name) for place in places]
