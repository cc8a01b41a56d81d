"""From a book's checks to what they taught."""

import threading
from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.learning.learned import Learned
from ripenroom.season.moments import to_hours


def fit(
    book: Book,
    crops: Mapping[str, CropProfile],
    zone: ZoneInfo,
    now: datetime,
    cancel: threading.Event | None = None,
    start: Learned | None = None,
) -> Learned:
    """What the checks of a book taught, as on ``now``.

    Pure, and safe in a thread of its own. ``start``, what was learned before, only makes it faster.
    """
    return Learned(at_h=to_hours(now))
