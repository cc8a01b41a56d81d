"""What a table may hold, and by which words its columns are recognized."""

import re
import unicodedata
from dataclasses import dataclass
from typing import Final, Literal

Kind = Literal["picks", "checks", "market days", "places"]
Holds = Literal["text", "count", "number", "moment", "day", "time", "choice", "numbers"]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column can mean: its key, what its cells hold, and words that name it elsewhere.

    ``choices`` are the texts that a cell may hold, if they are few.
    """

    key: str
    holds: Holds
    known_as: tuple[str, ...] = ()
    needed: bool = False
    choices: tuple[str, ...] = ()


_FEELS: Final = (
    Meaning("hard", "count", ("rock hard", "green", "unripe")),
    Meaning("slight_give", "count", ("slight give", "slight", "breaking", "breaker")),
    Meaning("gives", "count", ("give", "soft give", "giving", "firm ripe")),
    Meaning("soft", "count", ("ripe", "eating ripe")),
    Meaning("too_soft", "count", ("too soft", "overripe", "over ripe", "mushy")),
)
_FEEL: Final = Meaning("feel", "text", ("hand feel", "touch", "squeeze", "feels", "ripeness"))
"""One column for all feels: ``3 9 6 2``, or what all of the fruit felt."""

_GAUGE: Final = (
    Meaning("readings", "numbers", ("firmness", "pressure", "penetrometer", "reading")),
    Meaning("reading_unit", "choice", ("unit",), choices=("N", "kgf", "lbf")),
    Meaning("probe_mm", "number", ("probe", "tip", "tip mm", "plunger")),
)
_NOTE: Final = Meaning("note", "text", ("notes", "remark", "remarks", "comment", "comments"))

MEANINGS: Final[dict[Kind, tuple[Meaning, ...]]] = {
    "picks": (
        Meaning("batch", "text", ("code", "batch code", "lot", "lot number", "batch number")),
        Meaning("crop", "text", ("fruit", "species", "kind", "product")),
        Meaning("cultivar", "text", ("variety", "cv")),
        Meaning("row", "text", ("tree row", "block", "trees")),
        Meaning(
            "picked_at",
            "moment",
            ("picked", "pick date", "date", "day", "harvested", "harvest date", "date picked"),
            needed=True,
        ),
        Meaning("picked_time", "time", ("time", "pick time", "hour")),
        Meaning(
            "count", "count", ("fruit count", "number", "pieces", "qty", "quantity", "how many")
        ),
        Meaning(
            "weight_kg", "number", ("weight", "kg", "lb", "lbs", "weight lb", "mass", "pounds")
        ),
        *_FEELS,
        _FEEL,
        *_GAUGE,
        Meaning("pulp_c", "number", ("pulp", "pulp temperature", "temperature", "temp", "pulp f")),
        Meaning("place", "text", ("where", "location", "store", "storage", "room", "waits in")),
        _NOTE,
    ),
    "checks": (
        Meaning("batch", "text", ("code", "batch code", "lot", "lot number"), needed=True),
        Meaning("at", "moment", ("date", "checked", "day", "when", "date checked"), needed=True),
        Meaning("at_time", "time", ("time", "hour")),
        *_FEELS,
        _FEEL,
        *_GAUGE,
        _NOTE,
    ),
    "market days": (
        Meaning(
            "market_day", "text", ("market", "name", "event", "outlet", "customer"), needed=True
        ),
        Meaning(
            "kind",
            "choice",
            ("type",),
            choices=("market", "festival", "farm stand", "shop order"),
        ),
        Meaning("starts_at", "moment", ("date", "day", "starts", "start", "begins"), needed=True),
        Meaning("starts_time", "time", ("time", "hour", "from", "opens")),
        Meaning("eat_within_days", "count", ("eat within", "buyers eat within", "days")),
        Meaning("crop", "text", ("fruit", "species", "product")),
        Meaning("wanted", "count", ("wants", "quantity", "qty", "count", "order", "how many")),
        Meaning("price", "number", ("price each", "unit price", "each")),
        _NOTE,
    ),
    "places": (
        Meaning("place", "text", ("name", "room", "location", "where"), needed=True),
        Meaning(
            "kind",
            "choice",
            ("type",),
            needed=True,
            choices=("cold room", "cool shelf", "ripening room", "counter", "field bin"),
        ),
        Meaning("set_point_c", "number", ("set point", "temperature", "temp", "set point f")),
        Meaning(
            "half_cooling_h", "number", ("half cooling time", "half cooling", "half cooling h")
        ),
        Meaning("daily_swing_k", "number", ("swing", "daily swing")),
        Meaning("capacity_crates", "count", ("capacity", "crates", "holds")),
    ),
}
"""By kind of table: every meaning that a column can have, the most telling first."""

MEANING_OF: Final[dict[Kind, dict[str, Meaning]]] = {
    kind: {meaning.key: meaning for meaning in meanings} for kind, meanings in MEANINGS.items()
}


def plain(head: str) -> str:
    """A head without accents, marks and case, so that "Pick-Date:" is "pick date"."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", head) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^0-9a-z]+", " ", bare.casefold()).split())


def words_for(meaning: Meaning) -> frozenset[str]:
    """All heads by which a meaning is known."""
    return frozenset((plain(meaning.key), *meaning.known_as))
