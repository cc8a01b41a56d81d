"""What one line of the day page says, and several under one heading."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence: what to follow, why, and where it leads.

    ``under`` is the heading that it stands under within its kind, if any; ``spoken`` says it to
    those who do not see that.
    """

    headline: str
    reason: str
    link: str
    under: str = ""
    spoken: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Sentences of one urgency; those to be done have a box to tick on paper."""

    title: str
    items: tuple[Item, ...]
    to_do: bool
