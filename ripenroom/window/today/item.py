"""What one line of the day page says."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence: what to follow, why, and where it leads."""

    headline: str
    reason: str
    link: str
