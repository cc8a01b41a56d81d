"""Short batch codes such as P-0914-2: crop letter, local pick date, running number of that day."""

from collections.abc import Iterable
from datetime import date


def next_codes(letter: str, day: date, taken: Iterable[str], how_many: int) -> list[str]:
    """The next codes of that letter and day that are not taken.

    >>> from datetime import date
    >>> next_codes("P", date(2026, 9, 14), ["P-0914-1"], 2)
    ['P-0914-2', 'P-0914-3']
    """
    stem = f"{letter}-{day:%m%d}-"
    numbers = [
        int(c[len(stem) :]) for c in taken if c.startswith(stem) and c[len(stem) :].isdecimal()
    ]
    first = max(numbers, default=0) + 1
    return [f"{stem}{first + n}" for n in range(how_many)]
