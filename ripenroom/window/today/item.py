"""What one line of the day page says, and several under one heading."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence: what to follow, why, and where it leads."""

    headline: str
    reason: str
    link: str


@dataclass(frozen=True, slots=True)
class Group:
    """Sentences of one urgency; those to be done have a box to tick on paper."""

    title: str
    items: tuple[Item, ...]
    to_do: bool
