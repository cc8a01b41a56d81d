"""Picks that nobody has written down as expected, but that the last days' picks make likely.

Without them a plan would take what is at hand for all that there will ever be, and keep it for the
dearest market ahead while nearer ones go without. What the grower expects counts instead: of a crop
nothing else is likely until the last day on which a pick is written down as expected, and nothing
at all once it is said that nothing more comes.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked
from ripenroom.season.moments import local_day
from ripenroom.season.moves import moves_by_batch
from ripenroom.season.plans.expected import ends_of_picks
from ripenroom.season.state import SeasonState

LOOK_BACK = timedelta(days=7)
"""Picks of so many days tell how much is picked these days."""

USUAL_SPAN = timedelta(days=28)
"""So long a farm picks a crop from its first pick on: an estimate, for a few cultivars that follow
each other. A tree is picked over for two to three weeks (common practice, no source)."""

SHORTEST_AHEAD = timedelta(days=7)
"""A harvest that was going on yesterday is not over at once, however long it has lasted."""

EVERY = timedelta(days=2)
"""Likely picks lie so far apart, each with the fruit of all days until the next."""

_FEWEST = 5
"""Likely picks of fewer fruit are left out."""

_PREFIX = "likely "


def likely_picks(state: SeasonState) -> tuple[ExpectedPick, ...]:
    """Picks of days ahead that are likely as on ``now``, of each crop by its last days' picks.

    None of a crop that was picked on one day only. They fall off evenly to nothing at the end of
    the usual span; what a cultivar brought counts until nothing more of it comes.
    """
    today = state.today
    said_until: dict[str, date] = {}
    for pick in state.book.expected_picks.values():
        if not pick.nothing_more:
            said_until[pick.crop] = max(pick.on, said_until.get(pick.crop, pick.on))
    picked: dict[str, list[tuple[date, Batch]]] = {}
    for batch in state.book.batches.values():
        if batch.crop in state.crops and batch.picked_at <= state.now:
            day = local_day(batch.picked_at, state.zone)
            picked.setdefault(batch.crop, []).append((day, batch))
    places, ends = _first_places(state.book), ends_of_picks(state.book, state.zone)
    found: list[ExpectedPick] = []
    for crop in sorted(picked):
        made = _of_crop(crop, state.crops[crop], picked[crop], places, ends, today)
        found += [pick for pick in made if pick.on > said_until.get(crop, today)]
    return tuple(found)


def is_likely(pick_id: str) -> bool:
    """Whether an expected pick's id is that of one that is only likely."""
    return pick_id.startswith(_PREFIX)


def _of_crop(
    crop: str,
    profile: CropProfile,
    picked: Sequence[tuple[date, Batch]],
    places: Mapping[str, str],
    ends: Mapping[tuple[str, str | None], date],
    today: date,
) -> list[ExpectedPick]:
    first = min(day for day, _ in picked)
    late = [(day, batch) for day, batch in picked if day > today - LOOK_BACK and batch.id in places]
    if len({day for day, _ in late}) < 2:
        return []
    days = min(LOOK_BACK, today - first + timedelta(days=1)).days
    brought: dict[str | None, float] = {}
    for _, batch in late:
        fruit = fruit_picked(batch, fruit_mass_kg(profile))
        brought[batch.cultivar_id] = brought.get(batch.cultivar_id, 0.0) + fruit
    ahead = max(first + USUAL_SPAN - today, SHORTEST_AHEAD)
    place_id = Counter(places[batch.id] for _, batch in late).most_common(1)[0][0]
    all_over = ends.get((crop, None), date.max)
    made, since = [], timedelta(days=1)
    while since < ahead and today + since < all_over:
        on = today + since
        comes = sum(
            fruit for kind, fruit in brought.items() if on < ends.get((crop, kind), date.max)
        )
        falls_off = 1.0 - (since + EVERY / 2) / ahead
        count = round(comes / days * EVERY.days * max(falls_off, 0.0))
        if count >= _FEWEST:
            made.append(
                ExpectedPick(
                    id=f"{_PREFIX}{crop} {on}", crop=crop, on=on, count=count, place_id=place_id
                )
            )
        since += EVERY
    return made


def _first_places(book: Book) -> dict[str, str]:
    """The place that each batch was put into when it was picked."""
    return {key: moves[0].place_id for key, moves in moves_by_batch(book).items() if moves}
