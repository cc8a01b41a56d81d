"""Invented seasons for the tests of the season file."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.file import SeasonFile
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.orchard import (
    FROST_ID,
    Cultivar,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    OwnCrop,
    Row,
    Walk,
    normal_id,
    weather_id,
)
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails
from ripenroom.records.temperature_series import pack

MORNING = datetime(2026, 9, 14, 6, 30, tzinfo=UTC)


@dataclass(frozen=True)
class Invented:
    """Records that refer to each other as a grower's do."""

    season: SeasonDetails
    place: Place

    def batch(self, number: int, **given: object) -> Batch:
        """A batch picked some hours after the first."""
        facts: dict[str, object] = {
            "id": f"batch-{number}",
            "code": f"P-0914-{number}",
            "crop": "pawpaw",
            "picked_at": MORNING + timedelta(hours=number),
            "count": 20 + number,
        }
        return Batch(**{**facts, **given})  # type: ignore[arg-type]

    def move_of(self, batch: Batch) -> Move:
        """The move that brings a batch to the place when it was picked."""
        return Move(
            id=f"move-of-{batch.id}",
            batch_id=batch.id,
            at=batch.picked_at,
            place_id=self.place.id,
        )


@pytest.fixture(scope="session")
def invented() -> Invented:
    return Invented(
        season=SeasonDetails(
            id=new_id(),
            name="Lower field 2026",
            zone="America/New_York",
            first_day=date(2026, 8, 20),
            units="us",
            currency="USD",
        ),
        place=Place(id="place-1", name="Walk-in", kind="cold room", half_cooling_h=6.5),
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "lower field.ripenroom"


@pytest.fixture
def season_file(path: Path, invented: Invented) -> Iterator[SeasonFile]:
    """A new season with one place, open for changes."""
    file = SeasonFile.create(path, invented.season, [invented.place])
    yield file
    file.close()


@pytest.fixture(scope="session")
def every_noun() -> tuple[Record, ...]:
    """One record of every kind and more, with what people and programs put into texts."""
    line = "O'Brien's \"best\"; DROP TABLE batch;-- <b>100 %</b>\\"
    quoted = f"{line}\r\n\t{line}"
    cultivar = Cultivar(id=new_id(), crop="pawpaw", name=line, group="mid", rate_factor=1.1 / 3.0)
    unnamed = Cultivar(id=new_id(), crop="pear", name=".", crop_group=line)
    row = Row(
        id=new_id(),
        name="צפון 4 abc",
        cultivar_id=cultivar.id,
        trees=38,
        planted_year=2011,
        bloomed_on=date(2026, 4, 28),
        branch_counts=(3, 0, 7),
        branches_per_tree=12,
        counted_on=date(2026, 8, 30),
        fruit_doubt=1.1 / 3.0,
        fruit_mass_g=182.5,
    )
    bare_row = Row(id=new_id(), name="\U0001f351\U0001f468\u200d\U0001f33e", fruit_on_trees=0)
    place = Place(
        id=new_id(),
        name="Kühlraum № 1",
        kind="cold room",
        half_cooling_h=1.1 + 2.2,
        daily_swing_k=1e-300,
        capacity_crates=60,
        weather_lag_h=1.1 + 2.2,
    )
    set_point = SetPointChange(id=new_id(), place_id=place.id, at=MORNING, set_point_c=-0.0)
    counted = Batch(
        id=new_id(),
        code="P-0914-1",
        crop="pawpaw",
        picked_at=MORNING,
        cultivar_id=cultivar.id,
        row_id=row.id,
        count=18,
        feel_counts=(3, 9, 6, 0, 0),
        pulp_c=23.4,
        note="é" * 10_000,
    )
    measured = Batch(
        id=new_id(),
        code="E-0914-1",
        crop="pear",
        picked_at=MORNING - timedelta(days=1, seconds=1),
        weight_kg=1 / 3,
        readings=(5.1, 5e-324, 0.1 + 0.2, 9999.999999999998),
        reading_unit="lbf",
        probe_mm=7.9,
    )
    move = Move(id=new_id(), batch_id=counted.id, at=MORNING, place_id=place.id)
    day = MarketDay(id=new_id(), name="Fête", kind="festival", starts_at=MORNING, note=quoted)
    sold = Removal(
        id=new_id(),
        batch_id=counted.id,
        at=MORNING,
        count=4,
        outcome="sold",
        market_day_id=day.id,
    )
    thrown = Removal(id=new_id(), batch_id=counted.id, at=MORNING, count=1, outcome="discarded")
    want = Want(id=new_id(), market_day_id=day.id, crop="pawpaw", count=40, price_minor=250)
    unpriced = Want(id=new_id(), market_day_id=day.id, crop="pear", count=0)
    treated = Treatment(id=new_id(), batch_id=measured.id, at=MORNING, hours=1.1 + 2.2)
    own_crop = OwnCrop(id=new_id(), key="medlar", text=f"# ≥ 3 °C\r\nname = '{quoted}'\n" * 300)
    part = replace(counted, id=new_id(), code="P-0914-1a", split_from=counted.id)
    brought = Brought(id=new_id(), batch_id=counted.id, market_day_id=day.id, count=9)
    pin = Pin(
        id=new_id(),
        batch_id=counted.id,
        crates=2,
        pull_at=MORNING,
        place_id=place.id,
        market_day_id=day.id,
        packed_at=MORNING,
    )
    kept_back = Pin(id=new_id(), batch_id=part.id, crates=1)
    expected = ExpectedPick(
        id=new_id(),
        crop="pawpaw",
        on=date(2026, 9, 20),
        count=80,
        place_id=place.id,
        cultivar_id=cultivar.id,
        note=quoted,
    )
    for_pulp = SecondGrade(id=new_id(), crop="pawpaw", price_minor=40, fruit_per_day=60)
    felt = Check(id=new_id(), batch_id=counted.id, at=MORNING, feel_counts=(0, 3, 4, 1, 0))
    gauged = Check(
        id=new_id(),
        batch_id=measured.id,
        at=MORNING,
        readings=(4.4, 0.1 + 0.2),
        reading_unit="kgf",
        probe_mm=11.1,
        counted=False,
        note=quoted,
    )
    log = TemperatureLog(
        id=new_id(),
        place_id=place.id,
        name="øst; 1.csv",
        probe="T (°C)",
        starts_at=MORNING,
        ends_at=MORNING + timedelta(days=1),
        series=pack(np.arange(25) * 3600 + int(MORNING.timestamp()), np.linspace(2.0, 4.0, 25)),
    )
    lesson = Lesson(
        id=new_id(),
        crop="pawpaw",
        cultivar=None,
        log_rate=-0.1,
        log_rate_sd=0.2,
        checks=6,
        taught_by="2025",
        log_life=0.3,
        log_life_sd=0.15,
    )
    walk = Walk(id=new_id(), row_id=row.id, at=MORNING, feel_counts=(21, 6, 3, 0, 0), note=quoted)
    fallen = Walk(id=new_id(), row_id=bare_row.id, at=MORNING, on_ground=0)
    read = DayWeather(
        id=weather_id(MORNING.date()), on=MORNING.date(), min_c=-0.0, max_c=0.1 + 0.2, source="read"
    )
    ahead = date(2026, 10, 3)
    forecast = DayWeather(id=weather_id(ahead), on=ahead, min_c=-1.5, source="forecast")
    september = MonthlyNormal(id=normal_id(9), month=9, min_c=11.0, max_c=24.4)
    frost = FrostDates(
        id=FROST_ID, first_frosts=(date(1998, 10, 12), date(2019, 11, 1)), frost_c=-2.0
    )
    of_trees = TreeLesson(
        id=new_id(),
        crop="pawpaw",
        cultivar=line,
        by_heat=True,
        needs_days=1.1 + 220.2,
        needs_sd=1 / 3,
        log_spread=-0.0,
        log_spread_sd=0.25,
        log_pace=-0.1,
        log_pace_sd=0.2,
        walks=9,
        taught_by="2025",
        days_off=2.2,
    )
    return (
        of_trees,
        *(walk, fallen, read, forecast, september, frost),
        *(part, brought, pin, kept_back, expected, for_pulp, felt, gauged, log, lesson),
        *(cultivar, unnamed, row, bare_row, place, set_point, counted, measured, move),
        *(day, sold, thrown, want, unpriced, treated, own_crop),
    )


@pytest.fixture(scope="session")
def written_lived_in(
    tmp_path_factory: pytest.TempPathFactory, invented: Invented, every_noun: tuple[Record, ...]
) -> tuple[Path, Book]:
    """A season file with every kind of record, twelve batches and a history of actions, written
    once; never opened."""
    path = tmp_path_factory.mktemp("lived in") / "season.ripenroom"
    file = SeasonFile.create(path, invented.season, [invented.place])
    file.write("Add everything", every_noun)
    batches = [invented.batch(number, note=f"crate {number}") for number in range(12)]
    for batch in batches:
        file.write(f"Add pick {batch.code}", [batch, invented.move_of(batch)])
    for number in range(0, 12, 3):
        file.write(f"Change {number}", [invented.batch(number, count=7, note="recounted")])
    for batch in batches[:3]:
        file.write(f"Delete {batch.code}", deleted=[invented.move_of(batch), batch])
    file.undo()
    file.undo()
    book = file.read()
    file.close()
    return path, book


@pytest.fixture
def lived_in(path: Path, written_lived_in: tuple[Path, Book]) -> tuple[Path, Book]:
    """That season, closed, in a file of this test's own."""
    written, book = written_lived_in
    shutil.copy2(written, path)
    return path, book
