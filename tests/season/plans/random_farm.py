"""Random farms to plan for, with all that makes plans awkward, from a seeded generator."""

import random
from datetime import timedelta

from ripenroom.records.batch import Batch, FeelCounts, Move, Removal
from ripenroom.records.book import Book, Record
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.place import Place, PlaceKind, SetPointChange
from tests.season.farm import NOW, season_record
from tests.season.plans.planning import CROPS, LISBON

_KINDS: dict[str, tuple[PlaceKind, float]] = {
    "cold": ("cold room", 3.0),
    "shelf": ("cool shelf", 12.0),
    "ripening": ("ripening room", 20.0),
    "counter": ("counter", 22.0),
    "bin": ("field bin", 17.0),
}
_CROPS = ("pawpaw", "peach", "kiwifruit")
_FEELS: tuple[FeelCounts, ...] = (
    (20, 0, 0, 0, 0),
    (4, 16, 0, 0, 0),
    (0, 20, 0, 0, 0),
    (0, 8, 12, 0, 0),
    (0, 0, 14, 6, 0),
)


def random_farm(seed: int) -> Book:
    """A farm as on ``NOW``: full rooms, picks to come, moves said for later, pins, few hands."""
    rng = random.Random(seed)
    hands = rng.choice((None, None, 0, 3, 8, 20))
    records: list[Record] = list(_places(rng))
    records += _batches(rng)
    records += _picks(rng)
    records += _markets(rng)
    records += _second_grade(rng)
    book = Book(season_record(crates_moved_per_evening=hands)).with_changes(records)
    return book.with_changes(_pins(rng, book))


def _places(rng: random.Random) -> list[Record]:
    made: list[Record] = []
    for key, (kind, celsius) in _KINDS.items():
        holds = rng.choice((None, 0, 1, 2, 4, 8, 15))
        made.append(Place(id=key, name=key, kind=kind, half_cooling_h=6.0, capacity_crates=holds))
        made.append(
            SetPointChange(
                id=f"set {key}",
                place_id=key,
                at=NOW - timedelta(days=60),
                set_point_c=celsius + rng.uniform(-1.5, 1.5),
            )
        )
    return made


def _batches(rng: random.Random) -> list[Record]:
    made: list[Record] = []
    for number in range(rng.randint(0, 10)):
        picked_at = NOW - timedelta(hours=rng.randint(2, 300))
        batch = Batch(
            id=f"batch {number}",
            code=f"P-0930-{number}",
            crop=rng.choice(_CROPS),
            picked_at=picked_at,
            count=rng.choice((0, 7, 20, 55, 90, 160)),
            feel_counts=rng.choice(_FEELS),
        )
        made.append(batch)
        times = [picked_at]
        if rng.random() < 0.3:
            times.append(picked_at + (NOW - picked_at) * rng.random())
        # Moves that are said for later, at any hour of the day.
        times += [NOW + timedelta(hours=rng.randint(1, 150)) for _ in range(rng.randint(0, 5) // 4)]
        for step, at in enumerate(sorted(times)):
            made.append(
                Move(
                    id=f"move {number} {step}",
                    batch_id=batch.id,
                    at=at.replace(microsecond=0),
                    place_id=rng.choice(list(_KINDS)),
                )
            )
        if rng.random() < 0.2 and batch.count:
            made.append(
                Removal(
                    id=f"removal {number}",
                    batch_id=batch.id,
                    at=NOW - timedelta(minutes=30),
                    count=rng.randint(1, batch.count),
                    outcome="discarded",
                )
            )
    return made


def _picks(rng: random.Random) -> list[Record]:
    return [
        ExpectedPick(
            id=f"pick {number}",
            crop=rng.choice(_CROPS),
            on=(NOW + timedelta(days=rng.randint(0, 12))).astimezone(LISBON).date(),
            count=rng.choice((5, 40, 90)),
            place_id=rng.choice(list(_KINDS)),
            feel=rng.choice(("hard", "slight give", "gives")),
        )
        for number in range(rng.randint(0, 3))
    ]


def _markets(rng: random.Random) -> list[Record]:
    made: list[Record] = []
    for number in range(rng.randint(0, 6)):
        day = MarketDay(
            id=f"day {number}",
            name=f"Quay {number}",
            kind="market",
            starts_at=NOW + timedelta(hours=rng.randint(3, 400)),
            eat_within_days=rng.choice((0, 0, 1, 3)),
        )
        made.append(day)
        made += [
            Want(
                id=f"want {number} {crop}",
                market_day_id=day.id,
                crop=crop,
                count=rng.choice((0, 15, 60, 120)),
                price_minor=rng.choice((None, 0, 60, 150)),
            )
            for crop in _CROPS
            if rng.random() < 0.8
        ]
    return made


def _second_grade(rng: random.Random) -> list[Record]:
    return [
        SecondGrade(
            id=f"second {crop}",
            crop=crop,
            price_minor=rng.randint(1, 40),
            fruit_per_day=rng.choice((None, 15, 60)),
        )
        for crop in _CROPS
        if rng.random() < 0.4
    ]


def _pins(rng: random.Random, book: Book) -> list[Pin]:
    """Pins of any batch to any place at any hour, possible or not."""
    made: list[Pin] = []
    days = [*book.market_days, None]
    for number in range(rng.randint(0, 3) if book.batches else 0):
        moved = rng.random() < 0.6
        hour = NOW + timedelta(hours=rng.randint(1, 200))
        at = hour if rng.random() < 0.3 else hour.astimezone(LISBON).replace(hour=18, minute=0)
        made.append(
            Pin(
                id=f"pin {number}",
                batch_id=rng.choice(list(book.batches)),
                crates=rng.randint(1, 3),
                pull_at=at if moved else None,
                place_id=rng.choice(list(_KINDS)) if moved else None,
                market_day_id=rng.choice(days),
            )
        )
    return made


_ROOMS = {"cold": 12, "shelf": 8, "ripening": 5, "counter": 4}


def crowded_farm(seed: int) -> Book:
    """A farm of one crop as on ``NOW`` whose rooms are full, some of it with fruit that is past;
    there is much to be moved for its market days."""
    rng = random.Random(seed)
    records: list[Record] = []
    for key, (kind, celsius) in _KINDS.items():
        holds = _ROOMS.get(key)
        records.append(
            Place(id=key, name=key, kind=kind, half_cooling_h=6.0, capacity_crates=holds)
        )
        at = NOW - timedelta(days=60)
        records.append(SetPointChange(id=f"set {key}", place_id=key, at=at, set_point_c=celsius))
        stands = 0
        while stands < (holds or 3):
            crates = min(rng.randint(1, 3), (holds or 3) - stands)
            stands += crates
            name = f"{key} {stands}"
            picked_at = NOW - timedelta(hours=rng.randint(12, 120 if key == "cold" else 200))
            feels = rng.choice(_FEELS)
            records += [
                Batch(
                    id=name,
                    code=f"P-{name}",
                    crop="pawpaw",
                    picked_at=picked_at,
                    count=round(crates * CROPS["pawpaw"].fruit_per_crate.value),
                    feel_counts=feels,
                ),
                Move(id=f"to {name}", batch_id=name, at=picked_at, place_id=key),
            ]
    for number in range(5):
        starts_at = (NOW + timedelta(days=1 + 2 * number)).replace(hour=8)
        day = MarketDay(
            id=f"day {number}", name=f"Quay {number}", starts_at=starts_at, kind="market"
        )
        count = rng.randint(40, 160)
        records += [
            day,
            Want(
                id=f"want {number}",
                market_day_id=day.id,
                crop="pawpaw",
                count=count,
                price_minor=rng.randint(80, 250),
            ),
        ]
    return Book(season_record()).with_changes(records)
