"""The practice season: an invented farm, read from resources/demo, the same on every machine."""

import tomllib
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ripenroom.paths import resource
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.entry import PickEntry
from ripenroom.records.file import SeasonFile
from ripenroom.records.market import ExpectedPick, MarketDay, SecondGrade, Want
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails, UnitSystem
from ripenroom.records.temperature_series import pack
from ripenroom.season.actions.picks import portions
from ripenroom.season.batch_codes import Codes
from ripenroom.season.practice_history import fridge_readings, orchard_records, row_fields, sales

_NAMES = uuid.UUID("8b1d3c52-5d0e-4f6a-9a65-2b7b6f0f5f10")


_CURRENCY_IN = {
    "US": "USD",
    "GB": "GBP",
    "CA": "CAD",
    "AU": "AUD",
    "NZ": "NZD",
    "CH": "CHF",
}
"""Currencies by country (ISO 3166-1, ISO 4217) in which its prices are about what fruit costs."""


def write_demo(path: Path, units: UnitSystem | None = None, territory: str = "") -> None:
    """Write the practice season to a new file, read in these units (None: as it was made up), with
    prices in the currency of a country (``"US"``), as far as they could be from there.

    Raises FileRefusal rather than overwrite one.
    """
    book = demo_book()
    if units is not None:
        book = replace(book, season=replace(book.season, units=units))
    if territory in _CURRENCY_IN:
        book = replace(book, season=replace(book.season, currency=_CURRENCY_IN[territory]))
    SeasonFile.create(path, book.season, book.records()).close()


def demo_book() -> Book:
    """All records of the practice season."""
    with resource("demo", "practice.toml").open("rb") as source:
        plan = tomllib.load(source)
    maker = _Maker(plan)
    book = Book(maker.season).with_changes(maker.records())
    return book.with_changes(sales(book, shipped_profiles(), _id))


def _id(*parts: object) -> str:
    """A record id that is the same every time the practice season is made."""
    return str(uuid.uuid5(_NAMES, "/".join(map(str, parts))))


class _Maker:
    """Turns the plan's short lines into records."""

    def __init__(self, plan: Mapping[str, Any]) -> None:
        self._plan = plan
        about = plan["season"]
        self._zone = ZoneInfo(about["zone"])
        self.season = SeasonDetails(
            id=_id("season"),
            name=about["name"],
            zone=about["zone"],
            first_day=about["first_day"],
            units=about["units"],
            currency=about["currency"],
            practice_now=about["now"].replace(tzinfo=self._zone).astimezone(UTC),
        )

    def records(self) -> Iterator[Record]:
        yield from self._orchard()
        yield from self._places()
        yield from self._picks()
        yield from self._checks()
        yield from self._market_days()
        yield from self._ahead()
        yield from self._logs()
        yield from orchard_records(_id, self._moment)

    def _moment(self, day: int, clock: str) -> datetime:
        date = self.season.first_day + timedelta(days=day)
        return datetime.combine(date, time.fromisoformat(clock), self._zone).astimezone(UTC)

    def _orchard(self) -> Iterator[Record]:
        for key, about in self._plan["cultivars"].items():
            yield Cultivar(id=_id("cultivar", key), **about)
        for key, about in self._plan["rows"].items():
            cultivar_id = _id("cultivar", about["cultivar"])
            yield Row(
                id=_id("row", key),
                name=about["name"],
                cultivar_id=cultivar_id,
                trees=about["trees"],
                **row_fields(key),
            )

    def _places(self) -> Iterator[Record]:
        for key, about in self._plan["places"].items():
            yield Place(
                id=_id("place", key),
                name=about["name"],
                kind=about["kind"],
                half_cooling_h=about["half_cooling_h"],
                daily_swing_k=about.get("swing_k", 0.0),
                capacity_crates=about.get("capacity_crates"),
                weather_lag_h=about.get("weather_lag_h"),
            )
            yield self._set_point(key, 0, "00:00", about["set_point_c"])
        for turn in self._plan["set_points"]:
            yield self._set_point(turn["place"], turn["day"], turn["time"], turn["set_point_c"])

    def _set_point(self, place: str, day: int, clock: str, celsius: float) -> SetPointChange:
        return SetPointChange(
            id=_id("set point", place, day),
            place_id=_id("place", place),
            at=self._moment(day, clock),
            set_point_c=celsius,
        )

    def _logs(self) -> Iterator[Record]:
        for about in self._plan["logs"]:
            span, failed, lost = (
                self._span_s(*about[what]) for what in ("span", "power_failed", "not_kept")
            )
            times_s, celsius = fridge_readings(
                span,
                about["step_min"] * 60,
                self._plan["places"][about["place"]]["set_point_c"],
                failed,
                lost,
                self._zone,
            )
            yield TemperatureLog(
                id=_id("log", about["place"]),
                place_id=_id("place", about["place"]),
                name=about["file"],
                probe=about["probe"],
                starts_at=datetime.fromtimestamp(int(times_s[0]), UTC),
                ends_at=datetime.fromtimestamp(int(times_s[-1]), UTC),
                series=pack(times_s, celsius),
            )

    def _span_s(self, begin: tuple[int, str], end: tuple[int, str]) -> tuple[int, int]:
        return round(self._moment(*begin).timestamp()), round(self._moment(*end).timestamp())

    def _picks(self) -> Iterator[Record]:
        moves = {(day, row): rest for day, row, *rest in self._plan["moves"]["list"]}
        crops = shipped_profiles()
        codes = Codes()
        for day, clock, row, place, feels, pulp_c in self._plan["picks"]["list"]:
            cultivar = self._plan["rows"][row]["cultivar"]
            crop = self._plan["cultivars"][cultivar]["crop"]
            at = self._moment(day, clock)
            entry = PickEntry(
                crop=crop, place_id="", picked_at=at, feel_counts=tuple(feels), pulp_c=pulp_c
            )
            parts = portions(entry)
            new = codes.next(crops[crop].letter, at.astimezone(self._zone).date(), len(parts))
            for code, (count, _, feel) in zip(new, parts, strict=True):
                codes.take(code)
                batch = Batch(
                    id=_id("batch", code),
                    code=code,
                    crop=crop,
                    picked_at=at,
                    cultivar_id=_id("cultivar", cultivar),
                    row_id=_id("row", row),
                    count=count,
                    feel_counts=feel,
                    pulp_c=pulp_c,
                )
                yield batch
                yield self._move(batch, at, place)
                if (day, row) in moves:
                    later_day, later_clock, to_place = moves[day, row]
                    yield self._move(batch, self._moment(later_day, later_clock), to_place)

    def _move(self, batch: Batch, at: datetime, place: str) -> Move:
        place_id = _id("place", place)
        return Move(id=_id("move", batch.code, at), batch_id=batch.id, at=at, place_id=place_id)

    def _checks(self) -> Iterator[Record]:
        crops = shipped_profiles()
        of_letter = {crop.letter: crop for crop in crops.values()}
        listed = self._plan["checks"]
        for kind in ("feels", "readings"):
            for code, day, clock, found in listed[kind]:
                gauged = kind == "readings"
                probe_mm = of_letter[code[0]].firmness.probe_mm
                yield Check(
                    id=_id("check", code, day),
                    batch_id=_id("batch", code),
                    at=self._moment(day, clock),
                    feel_counts=None if gauged else tuple(found),
                    readings=tuple(found) if gauged else (),
                    reading_unit="N" if gauged else None,
                    probe_mm=probe_mm if gauged else None,
                )

    def _market_days(self) -> Iterator[Record]:
        for about in self._plan["market_days"]:
            for day in about["days"]:
                market_day = MarketDay(
                    id=_id("market day", about["name"], day),
                    name=about["name"],
                    kind=about["kind"],
                    starts_at=self._moment(day, about["time"]),
                    eat_within_days=about.get("eat_within_days"),
                )
                yield market_day
                for crop, (count, price_minor) in about["wants"].items():
                    yield Want(
                        id=_id("want", about["name"], day, crop),
                        market_day_id=market_day.id,
                        crop=crop,
                        count=count,
                        price_minor=price_minor,
                    )

    def _ahead(self) -> Iterator[Record]:
        for about in self._plan["expected_picks"]:
            yield ExpectedPick(
                id=_id("expected pick", about["day"], about["cultivar"]),
                crop=self._plan["cultivars"][about["cultivar"]]["crop"],
                on=self.season.first_day + timedelta(days=about["day"]),
                count=about["count"],
                place_id=_id("place", about["place"]),
                feel=about["feel"],
                cultivar_id=_id("cultivar", about["cultivar"]),
                note=about.get("note", ""),
            )
        for crop, about in self._plan["second_grade"].items():
            yield SecondGrade(
                id=_id("second grade", crop),
                crop=crop,
                price_minor=about["price"],
                fruit_per_day=about.get("fruit_per_day"),
            )
