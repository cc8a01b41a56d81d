"""Finds what is not translated in a text that is shown in the pseudo-language.

Translated words have accents on their vowels; one that has vowels and no accent is English that no
catalogue knows, or data.
"""

import re
from collections.abc import Iterable, Set

_WORD = re.compile(r"[^\W\d_]{3,}")
_PLAIN = re.compile(r"[aeiou]", re.IGNORECASE)


def words_in(text: str) -> set[str]:
    """The words of a text, in small letters."""
    return {word.casefold() for word in _WORD.findall(text)}


def untranslated(text: str, allowed: Set[str] = frozenset()) -> set[str]:
    """Words of a shown text that are neither translated nor ``allowed``.

    >>> sorted(untranslated("2 çrátéš óf Late pawpaws ~~", {"pawpaws"}))
    ['late']
    """
    found = words_in(text) - allowed
    return {word for word in found if word.isascii() and _PLAIN.search(word)}


def data_words(values: Iterable[object]) -> set[str]:
    """All words of records or figures, however deep they stand: they are nobody's sentences."""
    return words_in(" ".join(map(repr, values)))
