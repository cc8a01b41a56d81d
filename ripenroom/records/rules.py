"""What several fields of one record say together, or what no plain limit can say of one."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch, FeelCounts
from ripenroom.records.check import Check
from ripenroom.records.limits import EARLIEST_YEAR, LATEST_YEAR
from ripenroom.records.market import Pin
from ripenroom.records.place import TemperatureLog
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.temperature_series import span_of


def _season(season: SeasonDetails) -> None:
    if not EARLIEST_YEAR <= season.first_day.year <= LATEST_YEAR:
        raise Refusal(
            "first_day",
            "A season in the year {year} cannot be; the year is from {earliest} to {latest}.",
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
        raise Refusal("count", "How much was picked? Give the feels, a count or a weight.")
    if batch.feel_counts is not None:
        felt = _require_felt(batch.feel_counts)
        if batch.count is not None and felt > batch.count:
            raise Refusal(
                "feel_counts",
                "The feels add up to {told} fruit, but the pick has only {count}.",
                told=felt,
                count=batch.count,
            )
    _require_one_way(batch)


def _check(check: Check) -> None:
    if check.feel_counts is None and not check.readings:
        raise Refusal("feel_counts", "Nothing is counted yet: squeeze some fruit, or read a gauge.")
    if check.feel_counts is not None:
        _require_felt(check.feel_counts)
    if (check.eat_within_days is None) != (check.picked_from is None):
        raise Refusal(
            "picked_from" if check.picked_from is None else "eat_within_days",
            "Of a batch that was picked over, say how many fruit it had and when they are eaten.",
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
            raise Refusal(field, "The readings begin or end at another time than is said.")


RULES_OF: Mapping[type, tuple[Callable[[Any], None], ...]] = MappingProxyType(
    {
        SeasonDetails: (_season,),
        Batch: (_batch,),
        Check: (_check,),
        Pin: (_pin,),
        TemperatureLog: (_temperature_log,),
    }
)
