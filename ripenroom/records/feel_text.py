"""Hand-feel counts as people type them: "3 9 6 2"."""

import re
from collections.abc import Sequence

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.refusal import Refusal

_BETWEEN = re.compile(r"[\s,;/+·]+")


def feel_parts(text: str) -> list[str]:
    """What stands between the spaces, commas and the like of a typed line, hardest feel first."""
    return [part for part in _BETWEEN.split(text.strip()) if part]


def parse_feel_counts(text: str, looks: Sequence[str] = ()) -> FeelCounts | None:
    """Fruit of each feel from a typed line; None if nothing was typed.

    Four numbers leave out "too soft". Raises ``Refusal`` for anything else, in the words of
    ``looks`` where fruit is looked at instead: five of them, greenest first.

    >>> parse_feel_counts("3 9 6 2")
    (3, 9, 6, 2, 0)
    """
    parts = feel_parts(text)
    if not parts:
        return None
    if not all(part.isdecimal() and len(part) < 10 for part in parts):
        raise Refusal(
            "feel_counts",
            "Colour: type whole numbers with spaces between, such as 3 9 6 2, not “{typed}”."
            if looks
            else "Hand feel: type whole numbers with spaces between, such as 3 9 6 2, not "
            "“{typed}”.",
            typed=text.strip(),
        )
    if len(parts) not in (4, 5):
        if looks:
            raise Refusal(
                "feel_counts",
                "Colour: type 4 or 5 numbers, not {given}: {first} and, if there are any, "
                "{last}. Type 0 where there is none.",
                given=len(parts),
                first=", ".join(looks[:-1]),
                last=looks[-1],
            )
        raise Refusal(
            "feel_counts",
            "Hand feel: type 4 or 5 numbers, not {given}: hard, slight give, gives, soft "
            "and, if there are any, too soft. Type 0 where there is none.",
            given=len(parts),
        )
    counts = [int(part) for part in parts] + [0] * (len(FEELS) - len(parts))
    if not any(counts):
        return None
    return (counts[0], counts[1], counts[2], counts[3], counts[4])
