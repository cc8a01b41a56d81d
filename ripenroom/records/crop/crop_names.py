"""What a crop is called in the reader's language, with all that its profile names in words.

Of a crop that comes with the program those are texts of the catalogue, in the context of its key
(:func:`context_of`); what a grower wrote in a crop of their own stands in none, and stays as it is.
"""

import re
from functools import cache
from typing import Final

from ripenroom.records.crop.profile import CropProfile, Gate
from ripenroom.texts import ENGLISH, language, tr_in, tr_n_in

GATES: Final = "what fruit waits for"
"""The context of what gates are named."""


def context_of(key: str) -> str:
    """The context in which the texts of a crop stand in a catalogue."""
    return f"crop {key}"


def fruit_context_of(key: str) -> str:
    """The context of what its fruit are called within a sentence."""
    return f"fruit of the crop {key}"


def called(crop: CropProfile) -> str:
    """The name of a crop."""
    return as_called(crop, crop.name)


def as_called(crop: CropProfile, text: str) -> str:
    """Another text of the profile: the name of a cultivar group or of a look, a caution."""
    context = context_of(crop.key)
    return tr_in(context, text)


def gate_called(gate: Gate) -> str:
    """What fruit waits for, such as "cold"."""
    return tr_in(GATES, gate.name)


def names_of(crop: CropProfile) -> tuple[str, ...]:
    """By what a crop is looked for: its name, and the one that its profile has."""
    return tuple(dict.fromkeys((called(crop), crop.name)))


def within(name: str) -> str:
    """A name as it stands within a sentence: "anjou pear" of "Anjou pear".

    >>> within("Pera Anjou")
    'pera Anjou'
    """
    return name.lower() if language() == ENGLISH else name[:1].lower() + name[1:]


def fruit_noun(crop: CropProfile, count: float = 2.0) -> str:
    """What so many fruit of a crop are called within a sentence: "pawpaw", "Anjou pears".

    Of a name that no catalogue knows only English rules are known: in another language it stays.
    """
    one, many = fruit_forms(crop.name)
    context = fruit_context_of(crop.key)
    return tr_n_in(context, one, many if language() == ENGLISH else one, round(count))


@cache
def fruit_forms(name: str) -> tuple[str, str]:
    """What one and what several fruit are called in English that have this name.

    >>> fruit_forms("Peach and nectarine")
    ('peach or nectarine', 'peaches and nectarines')
    """
    # "Persimmon, astringent" and "Persimmon (non-astringent)": what is added stays as it is.
    head = re.split(r"\s*[,(]", name, maxsplit=1)[0] or name
    added = name[len(head) :]
    nouns = [noun if " " in noun else noun[:1].lower() + noun[1:] for noun in head.split(" and ")]
    return " or ".join(nouns) + added, " and ".join(map(_plural, nouns)) + added


def _plural(noun: str) -> str:
    if not noun or noun.endswith(("fruit", "fruits")):
        return noun
    if re.search(r"[^aeiou]y$", noun):
        return f"{noun[:-1]}ies"
    return f"{noun}es" if re.search(r"(s|x|z|ch|sh|tomato|potato|mango)$", noun) else f"{noun}s"
