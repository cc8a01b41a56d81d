"""``python -m tests.outside.courses``: published courses of ripening, the second half foretold from
the first.

No whole table of firmness by day was found in the open for a crop that has a clock here. These are
the courses that sources tell in numbers; where a source tells a speed, the course is its line.
"""

from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import Place, SetPointChange
from ripenroom.season.forecast import story
from ripenroom.season.learned import Learned
from ripenroom.season.learning.fit import fit
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from ripenroom.units import newtons
from tests.outside.crate import PICKED_AT, readings_around
from tests.season.farm import season_record

ZONE = ZoneInfo("America/New_York")
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Course:
    """A batch at ``celsius``: pairs of days and mean firmness (N)."""

    crop: str
    celsius: float
    points: tuple[Point, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Stages:
    """Fruit of a look each at its day, and the day on which it is ready."""

    crop: str
    celsius: float
    looks: tuple[tuple[float, str], ...]
    ready_days: float
    source: str


def _lbf(*points: Point) -> tuple[Point, ...]:
    return tuple((day, newtons(force, "lbf")) for day, force in points)


def _kgf(*points: Point) -> tuple[Point, ...]:
    return tuple((day, newtons(force, "kgf")) for day, force in points)


HANDBOOK = "Crop Post-Harvest Science and Technology, chapter 10, Tables 10.5 and 10.9"

COURSES = (
    Course(
        "avocado",
        20.0,
        _lbf((0.0, 20.0), (1.0, 12.5), (2.0, 7.5), (3.0, 5.0)),
        "trade table of five stages, casadelaguacate.com: the middle of each stage, a day apart",
    ),
    Course(
        "peach",
        20.0,
        _kgf((0.0, 5.0), (1.0, 4.0), (4.0, 1.75)),
        "Peano, Giacalone & Bounous 2001, Acta Hort. 553:739-740, Elegant Lady, 1.5-2 kgf at 96 h; "
        "its temperature is not given",
    ),
    Course(
        "peach",
        20.0,
        _lbf((0.0, 12.0), (1.0, 10.0), (2.0, 8.0), (3.0, 6.0), (4.0, 4.0)),
        "Ward, Rutgers NJAES: about 2 lbf a day",
    ),
    Course(
        "plum",
        20.0,
        _kgf((0.0, 4.08), (2.0, 3.48), (4.0, 2.88), (6.0, 2.28), (8.0, 1.68)),
        f"{HANDBOOK}: Black Beaut and Santa Rosa lose 0.3 kgf a day",
    ),
    Course(
        "plum",
        25.0,
        _kgf((0.0, 4.08), (1.5, 3.48), (3.0, 2.88), (4.5, 2.28), (6.0, 1.68)),
        f"{HANDBOOK}: Santa Rosa loses 0.4 kgf a day",
    ),
)

_TO_TABLE_RIPE = {
    12.5: (16.0, 13.0),
    15.0: (13.0, 10.0),
    17.5: (10.0, 8.0),
    20.0: (8.0, 6.0),
    22.5: (6.0, 4.0),
    25.0: (5.0, 3.0),
}
"""Days to table-ripe from breaker and from turning, by temperature."""

STAGES = tuple(
    Stages(
        "tomato",
        celsius,
        ((0.0, "breaker"), (breaker - turning, "turning")),
        breaker,
        "Cantwell, UC Davis: days to table-ripe by temperature",
    )
    for celsius, (breaker, turning) in _TO_TABLE_RIPE.items()
)


@dataclass(frozen=True, slots=True)
class Foretold:
    """Something published, and what was foretold of it by the book and after learning."""

    what: str
    published: float
    by_book: float
    learned: float

    @property
    def errors(self) -> tuple[float, float]:
        """How far off, by the book and after learning."""
        return abs(self.by_book - self.published), abs(self.learned - self.published)


def firmness_foretold(course: Course) -> list[Foretold]:
    """Firmness (N) of the second half of a course, from its first: the pick and checks."""
    half = (len(course.points) + 1) // 2
    (_, first), *checked = course.points[:half]
    pick = {"readings": readings_around(first), "reading_unit": "N", "probe_mm": 8.0}
    checks = [
        _check(n, day, readings=readings_around(force), reading_unit="N", probe_mm=8.0)
        for n, (day, force) in enumerate(checked)
    ]
    book = _book(course.crop, course.celsius, pick, checks)
    last = course.points[-1][0]
    curves = [_firmness_n(book, found, last) for found in (None, _learned(book, last))]
    return [
        Foretold(
            f"{course.crop} at {course.celsius:g} C, day {day:g} (N)",
            force,
            *(float(np.interp(day, *curve)) for curve in curves),
        )
        for day, force in course.points[half:]
    ]


def ready_foretold(stages: Stages) -> Foretold:
    """Days to ready, from the looks on the way there."""
    names = shipped_profiles()[stages.crop].feel.names
    counts = [(day, _all_of(names.index(look))) for day, look in stages.looks]
    (_, first), *checked = counts
    checks = [_check(n, day, feel_counts=look) for n, (day, look) in enumerate(checked)]
    book = _book(stages.crop, stages.celsius, {"feel_counts": first}, checks)
    at = PICKED_AT + timedelta(days=stages.ready_days)
    days = []
    for found in (None, _learned(book, stages.ready_days)):
        projector = Projector(shipped_profiles(), ZONE, found)
        opens_h = projector.projection(projector.outlook(book, at), at).opens_h.mid[0]
        days.append((float(opens_h) - to_hours(PICKED_AT)) / 24.0)
    what = f"{stages.crop} at {stages.celsius:g} C (days to ready)"
    return Foretold(what, stages.ready_days, *days)


def _all_of(feel: int) -> FeelCounts:
    a, b, c, d, e = (20 if n == feel else 0 for n in range(5))
    return a, b, c, d, e


def _check(number: int, day: float, **found: object) -> Check:
    facts: dict[str, object] = {
        "id": str(number),
        "batch_id": "crate",
        "at": PICKED_AT + timedelta(days=day),
    }
    return Check(**facts, **found)  # type: ignore[arg-type]


def _book(crop: str, celsius: float, pick: dict[str, object], checks: list[Check]) -> Book:
    batch = Batch(id="crate", code="C", crop=crop, picked_at=PICKED_AT, count=20, **pick)  # type: ignore[arg-type]
    place = Place(id="room", name="Room", kind="ripening room", half_cooling_h=0.1)
    dial = SetPointChange(id="dial", place_id="room", at=PICKED_AT, set_point_c=celsius)
    move = Move(id="move", batch_id="crate", at=PICKED_AT, place_id="room")
    return Book(season_record()).with_changes([place, dial, batch, move, *checks])


def _learned(book: Book, days: float) -> Learned:
    return fit(SeasonState(book, shipped_profiles(), PICKED_AT + timedelta(days=days), ZONE))


def _firmness_n(book: Book, found: Learned | None, days: float) -> tuple[np.ndarray, np.ndarray]:
    projector = Projector(shipped_profiles(), ZONE, found)
    now = PICKED_AT + timedelta(days=days)
    crop = projector.constants.of_batch(book.batches["crate"], book)
    told = story(projector.outlook(book, now), crop, to_hours(now))
    return (told.hours - to_hours(PICKED_AT)) / 24.0, told.firmness_n


def main() -> None:
    """Print the table."""
    print("| what | published | by the book | learned |")
    print("| --- | ---: | ---: | ---: |")
    found = [row for course in COURSES for row in firmness_foretold(course)]
    found += [ready_foretold(stages) for stages in STAGES]
    for row in found:
        print(f"| {row.what} | {row.published:.1f} | {row.by_book:.1f} | {row.learned:.1f} |")


if __name__ == "__main__":
    main()
