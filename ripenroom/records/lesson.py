"""What earlier seasons, perhaps of another farm, taught about a crop."""

from dataclasses import dataclass

from ripenroom.records.limits import Checks, CropKey, Id, LogRate, LogRateSd, Name


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
