"""What earlier seasons, perhaps of another farm, taught about a crop: in store and on the tree."""

from dataclasses import dataclass

from ripenroom.records.limits import (
    Checks,
    CropKey,
    Id,
    LogRate,
    LogRateSd,
    LogSpread,
    Name,
    TreeDays,
    TreeDaysSd,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """How fast fruit softened compared with the crop's profile, as learned from ``checks``.

    ``log_rate`` is the natural logarithm of how many times as fast, ``log_rate_sd`` how sure that
    is. It holds for cultivars of the ``cultivar`` name, or for all of the crop if that is None.
    ``taught_by`` names the season that it comes from.
    """

    id: Id
    crop: CropKey
    cultivar: Name | None
    log_rate: LogRate
    log_rate_sd: LogRateSd
    checks: Checks
    taught_by: Name


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeLesson:
    """When fruit got ready on the tree, and how fast it went on there, as learned from ``walks``.

    ``needs_days`` are tree days from full bloom until half of a row's fruit gives: degree days over
    those of a usual day where ``by_heat``, else days of the calendar. ``log_spread`` is the natural
    logarithm of how much the fruit of a row differ in that (tree days), ``log_pace`` of how many
    times as fast as usual they soften on the tree. Each ``_sd`` says how sure that is. ``days_off``
    is by how many days that season's forecasts missed, half of the time; None where none was held
    to what came. It holds for cultivars of the ``cultivar`` name, or for all of the crop if that is
    None. ``taught_by`` names the season that it comes from.
    """

    id: Id
    crop: CropKey
    cultivar: Name | None
    by_heat: bool
    needs_days: TreeDays
    needs_sd: TreeDaysSd
    log_spread: LogSpread
    log_spread_sd: LogRateSd
    log_pace: LogRate
    log_pace_sd: LogRateSd
    walks: Checks
    taught_by: Name
    days_off: TreeDaysSd | None = None
