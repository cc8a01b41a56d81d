"""Rules over several fields of a record, beyond the limits of single fields."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch, FeelCounts
from ripenroom.records.check import Check
from ripenroom.records.limits import (
    EARLIEST_FROST_YEAR,
    EARLIEST_YEAR,
    LATEST_YEAR,
    MOST_FROST_DAYS_APART,
)
from ripenroom.records.market import Pin, SecondGrade, Want
from ripenroom.records.orchard import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    Row,
    Walk,
    normal_id,
    weather_id,
)
from ripenroom.records.place import TemperatureLog
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.temperature_series import span_of


def _season(season: SeasonDetails) -> None:
    if not EARLIEST_YEAR <= season.first_day.year <= LATEST_YEAR:
        raise Refusal(
            "first_day",
            "A season in the year {year} is not possible; the year is from {earliest} to {latest}.",
            year=season.first_day.year,
            earliest=EARLIEST_YEAR,
            latest=LATEST_YEAR,
        )
    if not is_known_zone(season.zone):
        raise Refusal(
            "zone",
            "There is no time zone “{zone}” here. Write it as Europe/Dublin, or update ripenroom "
            "if the zone is a new one.",
            zone=season.zone,
        )


@lru_cache(maxsize=16)
def is_known_zone(name: str) -> bool:
    """Whether this computer knows an IANA time zone."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):  # unknown, or no name of a zone at all
        return False
    return True


def _batch(batch: Batch) -> None:
    if batch.count is None and batch.weight_kg is None:
        raise Refusal("count", "How much was picked? Type the feels, a count or a weight.")
    if batch.feel_counts is not None:
        felt = _require_felt(batch.feel_counts)
        if batch.count is not None and felt > batch.count:
            raise Refusal(
                "feel_counts",
                "The feels add up to {told} fruit, but the count is only {count}.",
                told=felt,
                count=batch.count,
            )
    _require_one_way(batch)


def _check(check: Check) -> None:
    if check.feel_counts is None and not check.readings:
        raise Refusal("feel_counts", "No fruit counted yet: squeeze some, or read a gauge.")
    if check.feel_counts is not None:
        _require_felt(check.feel_counts)
    if (check.eat_within_days is None) != (check.picked_from is None):
        raise Refusal(
            "picked_from" if check.picked_from is None else "eat_within_days",
            "Squeezed and packed: how many fruit did the batch have, and when are they eaten?",
        )
    if check.picked_from is not None and (check.feel_counts is None or check.feel_counts[1]):
        raise Refusal("feel_counts", "A batch is picked over by hand: firm, taken and too soft.")
    if check.picked_from is not None and sum(check.feel_counts or ()) > check.picked_from:
        raise Refusal("feel_counts", "More fruit was squeezed than the batch had.")
    _require_one_way(check)


def _require_felt(counts: FeelCounts) -> int:
    """How many fruit were felt; refuse none."""
    felt = sum(counts)
    if felt == 0:
        raise Refusal("feel_counts", "All feels are 0: say how many fruit you squeezed.")
    return felt


def _require_one_way(squeezed: Batch | Check) -> None:
    """Refuse feels beside readings, and readings without their unit."""
    if not squeezed.readings:
        return
    if squeezed.feel_counts is not None:
        raise Refusal("readings", "Give hand feel or gauge readings, not both.")
    if squeezed.reading_unit is None:
        raise Refusal("reading_unit", "Say in which unit the gauge reads: N, kgf or lbf.")


def _pin(pin: Pin) -> None:
    if (pin.pull_at is None) != (pin.place_id is None):
        raise Refusal(
            "pull_at" if pin.pull_at is None else "place_id",
            "Say when the crates are moved and where to, or neither.",
        )


def _temperature_log(log: TemperatureLog) -> None:
    try:
        first_s, last_s = span_of(log.series)
    except ValueError as error:
        raise Refusal(
            "series", "The readings cannot be unpacked: {reason}.", reason=str(error)
        ) from error
    for field, at_s in (("starts_at", first_s), ("ends_at", last_s)):
        if getattr(log, field) != datetime.fromtimestamp(at_s, UTC):
            raise Refusal(field, "The readings start or end at another time than their log says.")


def _row(row: Row) -> None:
    if row.branch_counts and row.branches_per_tree is None:
        raise Refusal("branches_per_tree", "Say how many such branches a tree has.")
    if row.branch_counts and row.fruit_on_trees is not None:
        raise Refusal(
            "branch_counts", "Type the fruit of the whole row or of some branches, not both."
        )


def _walk(walk: Walk) -> None:
    if walk.feel_counts is None and walk.on_ground is None:
        raise Refusal("feel_counts", "No fruit counted yet: squeeze some, or look on the ground.")
    if walk.feel_counts is not None:
        _require_felt(walk.feel_counts)


def _day_weather(day: DayWeather) -> None:
    _require_id(day.id, weather_id(day.on))
    if day.max_c is None and day.source != "forecast":
        raise Refusal("max_c", "How warm did {on} get? Type its warmest too.", on=day.on)
    _require_order(day.min_c, day.max_c)


def _monthly_normal(month: MonthlyNormal) -> None:
    _require_id(month.id, normal_id(month.month))
    _require_order(month.min_c, month.max_c)


def _frost_dates(frost: FrostDates) -> None:
    _require_id(frost.id, FROST_ID)
    for field in ("tenth_on", "even_on"):
        if getattr(frost, field) is None and not frost.first_frosts:
            raise Refusal(field, "Give both days, or the days of first frosts in past years.")
        if getattr(frost, field) is not None and frost.first_frosts:
            raise Refusal(field, "Give two days or a list of first frosts, not both.")
    if frost.even_on and frost.tenth_on and frost.tenth_on >= frost.even_on:
        raise Refusal(
            "tenth_on",
            "The day by which frost comes in one year of ten lies before the day by which it "
            "comes in half of all years. Swap them, or check days and years.",
        )
    if frost.even_on and frost.tenth_on and frost.even_on - frost.tenth_on > MOST_FROST_DAYS_APART:
        raise Refusal(
            "even_on",
            "The two days are {days} days apart: give both for the same autumn, and check years.",
            days=(frost.even_on - frost.tenth_on).days,
        )
    years = [on.year for on in frost.first_frosts]
    for year in years:
        if not EARLIEST_FROST_YEAR <= year <= LATEST_YEAR:
            raise Refusal(
                "first_frosts",
                "A first frost in {year} is not possible; the year is from {earliest} to {latest}.",
                year=year,
                earliest=EARLIEST_FROST_YEAR,
                latest=LATEST_YEAR,
            )
    if len(set(frost.first_frosts)) < len(years):
        raise Refusal("first_frosts", "A day is in the list of first frosts twice.")


def _require_id(found: str, only: str) -> None:
    """Refuse another id than the one that such a record has in every copy of a season."""
    if found != only:
        raise Refusal("id", "The id must be “{only}”.", only=only)


def _require_order(min_c: float, max_c: float | None) -> None:
    if max_c is not None and max_c < min_c:
        raise Refusal("max_c", "The warmest is colder than the coldest. Swap them.")


def _want(want: Want) -> None:
    if want.sold_by == "fruit":
        _require_none(want, "amount", "unit_price_minor", "fruit_per_box")
    elif want.amount is None:
        raise Refusal("amount", "How much is wanted? Give an amount.")
    _require_box(want)


def _second_grade(grade: SecondGrade) -> None:
    if grade.sold_by == "fruit":
        _require_none(grade, "amount_per_day", "unit_price_minor", "fruit_per_box")
    elif grade.unit_price_minor is None:
        raise Refusal("unit_price_minor", "What does second grade bring? Type a price.")
    _require_box(grade)


def _require_none(sold: Want | SecondGrade, *fields: str) -> None:
    for field in fields:
        if getattr(sold, field) is not None:
            raise Refusal(field, "Fruit sold by the piece has no weight and no box.")


def _require_box(sold: Want | SecondGrade) -> None:
    if (sold.sold_by == "box") != (sold.fruit_per_box is not None):
        raise Refusal("fruit_per_box", "How many fruit are in a box?")


RULES_OF: Mapping[type, tuple[Callable[[Any], None], ...]] = MappingProxyType(
    {
        SeasonDetails: (_season,),
        Batch: (_batch,),
        Check: (_check,),
        Want: (_want,),
        SecondGrade: (_second_grade,),
        Pin: (_pin,),
        TemperatureLog: (_temperature_log,),
        Row: (_row,),
        Walk: (_walk,),
        DayWeather: (_day_weather,),
        MonthlyNormal: (_monthly_normal,),
        FrostDates: (_frost_dates,),
    }
)
