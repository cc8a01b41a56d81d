"""Finds what is not translated in a text that is shown in the pseudo-language.

Translated words have accents on their vowels; one that has vowels and no accent is English that no
catalogue knows, or data.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import fields, is_dataclass
from pathlib import Path

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
    """All words that stand in records or figures, however deep: they are nobody's sentences.

    What fields are called is none of them.
    """
    return words_in(" ".join(text for value in values for text in _texts_of(value)))


def _texts_of(value: object) -> Iterator[str]:
    if isinstance(value, str | Path):
        yield str(value)
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from _texts_of(inner)
    elif isinstance(value, tuple | list | set | frozenset):
        for inner in value:
            yield from _texts_of(inner)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _texts_of(getattr(value, field.name))
