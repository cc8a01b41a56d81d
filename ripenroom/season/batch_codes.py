"""Short batch codes such as P-0914-2: crop letter, local pick date, running number of that day.

What is split off a batch has its code with a letter after it: P-0914-2a.
"""

import re
from collections.abc import Iterable
from datetime import date

_NUMBERED = re.compile(r"(.*-)([0-9]{1,9})[a-z]*", re.DOTALL)


class Codes:
    """Codes that are taken, whose next ones are found at once however many they are."""

    def __init__(self, taken: Iterable[str] = ()) -> None:
        self._last: dict[str, int] = {}
        for code in taken:
            self.take(code)

    def take(self, code: str) -> None:
        """A code is not to be given again."""
        if found := _NUMBERED.fullmatch(code):
            self._last[found[1]] = max(self._last.get(found[1], 0), int(found[2]))

    def next(self, letter: str, day: date, how_many: int = 1) -> list[str]:
        """The next codes of that letter and day that are not taken.

        >>> from datetime import date
        >>> Codes(["P-0914-1"]).next("P", date(2026, 9, 14), 2)
        ['P-0914-2', 'P-0914-3']
        """
        stem = f"{letter}-{day:%m%d}-"
        first = self._last.get(stem, 0) + 1
        return [f"{stem}{first + n}" for n in range(how_many)]


def split_code(code: str, taken: Iterable[str]) -> str:
    """The code of what is split off a batch: its number with the letter after the last one taken.

    >>> split_code("P-0914-2", ["P-0914-2", "P-0914-2a"])
    'P-0914-2b'
    >>> split_code("P-0914-2a", ["P-0914-2", "P-0914-2a"])
    'P-0914-2b'
    """
    numbered = re.fullmatch(r"(.*[0-9])[a-z]*", code, re.DOTALL)
    stem = numbered[1] if numbered else f"{code}-"
    own = re.compile(re.escape(stem) + r"([a-z]+)")
    last = max((_place_of(found[1]) for c in taken if (found := own.fullmatch(c))), default=0)
    return stem + _letters(last + 1)


def _place_of(letters: str) -> int:
    """a is 1, z 26, aa 27."""
    place = 0
    for letter in letters:
        place = 26 * place + ord(letter) - ord("a") + 1
    return place


def _letters(place: int) -> str:
    """What :func:`_place_of` makes of it, back."""
    letters = ""
    while place:
        place, letter = divmod(place - 1, 26)
        letters = chr(ord("a") + letter) + letters
    return letters
