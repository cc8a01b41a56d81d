"""What earlier seasons, perhaps of another farm, taught about a crop."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """How fast fruit softened compared with the crop's profile, as learned from ``checks``.

    ``log_rate`` is the natural logarithm of how many times as fast, ``log_rate_sd`` how sure that
    is. It holds for cultivars of the ``cultivar`` name, or for all of the crop if that is None.
    ``taught_by`` names the season that it comes from.
    """

    id: str
    crop: str
    cultivar: str | None
    log_rate: float
    log_rate_sd: float
    checks: int
    taught_by: str
