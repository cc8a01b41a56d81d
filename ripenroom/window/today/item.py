"""What one line of the day page says."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence: what to follow, why, and where it leads."""

    headline: str
    reason: str
    link: str


def ended(sentence: str) -> str:
    """The sentence with its full stop; a date may end in one already, as in "3 Okt."."""
    return sentence if sentence.endswith(".") else f"{sentence}."
