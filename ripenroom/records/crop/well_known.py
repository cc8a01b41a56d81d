"""By what else built-in crops are found, and which of them are grown where: data of the program.

They lie beside the profiles and not in them: they are no figures, and an own crop that is a copy
has none.
"""

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache

from ripenroom.paths import resource


def kinds_of(key: str) -> Sequence[str]:
    """Other names of a crop and of its kinds: ``"Kaki"``; none where the program knows none."""
    return _kinds().get(key, {}).get("kinds", ())


def cultivars_of(key: str) -> Sequence[str]:
    """Cultivars of a crop that many growers know, by the alphabet: ``"Fuyu"``."""
    return _kinds().get(key, {}).get("cultivars", ())


def also_found_by(key: str) -> tuple[str, ...]:
    """All by which a crop is looked for besides its name."""
    return (*kinds_of(key), *cultivars_of(key))


def grown_around(territory: str) -> Sequence[str]:
    """Keys of the crops that small growers of a territory (``"US"``) grow, the usual ones first;
    none where nothing is known of it."""
    regions = _regions().values()
    return next((one["crops"] for one in regions if territory in one["territories"]), ())


@cache
def _kinds() -> Mapping[str, Mapping[str, Sequence[str]]]:
    return _table("kinds")


@cache
def _regions() -> Mapping[str, Mapping[str, Sequence[str]]]:
    return _table("regions")


def _table(name: str) -> Mapping[str, Mapping[str, Sequence[str]]]:
    text = (resource("crops") / "known" / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
