"""Several batches named at once: what is alike together, told by what it is before its codes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import felt_words
from ripenroom.wording.reader import Reader

_MOST_NAMED = 20
"""So many batches of a group are named; nobody looks for one among hundreds."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Fruit of one crop that felt the same when it was last squeezed: ``"31 pawpaws, gives"``, and
    the batches that it is of by their codes."""

    what: str
    batches: tuple[tuple[str, str], ...]
    """Code and id of each."""


def alike(fruit: Iterable[tuple[str, float]], reader: Reader) -> list[Alike]:
    """Batches, each with so many fruit, by crop and feel; in the order of their codes."""
    season = reader.season
    batches = season.book.batches
    counts: dict[tuple[str, str | None], dict[str, float]] = {}
    for batch_id, count in sorted(fruit, key=lambda pair: batches[pair[0]].code):
        key = batches[batch_id].crop, season.ask.last_felt(batch_id)
        own = counts.setdefault(key, {})
        own[batch_id] = own.get(batch_id, 0.0) + count
    return [
        Alike(
            felt_words(crop, sum(own.values()), felt, reader),
            tuple((batches[key].code, key) for key in own),
        )
        for (crop, felt), own in counts.items()
    ]


def alike_words(fruit: Iterable[tuple[str, float]], reader: Reader) -> str:
    """``"31 pawpaws, gives (P-0926-2, P-0928-3); 12 pears, hard (E-0917-1)"``."""
    parts = [
        tr("{fruit} ({codes})").format(
            fruit=group.what,
            codes=codes_words([code for code, _ in group.batches], reader.words),
        )
        for group in alike(fruit, reader)
    ]
    return "; ".join(parts)


def codes_words(codes: Sequence[str], words: Formats) -> str:
    """Batches by their codes, each once; of very many the first few and how many more."""
    each = list(dict.fromkeys(codes))
    named = ", ".join(each[:_MOST_NAMED])
    if len(each) <= _MOST_NAMED:
        return named
    return tr("{codes} and {count} others").format(
        codes=named, count=words.number(len(each) - _MOST_NAMED)
    )
