"""What a new season begins with: the chosen crops' cultivars and the chosen places."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ripenroom.records.identity import new_id
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import Place, PlaceKind
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.place_defaults import DEFAULTS


@dataclass(frozen=True, slots=True)
class Beginning:
    """Cultivar names by crop, and kinds of places with the name each gets."""

    cultivars: Mapping[str, Sequence[str]]
    places: Mapping[PlaceKind, str]


def cultivar_names(typed: str) -> list[str]:
    """Names that were typed with commas between, each once."""
    names = (name.strip() for name in typed.split(","))
    return list(dict.fromkeys(name for name in names if name))


def furnish(season: Season, beginning: Beginning) -> None:
    """Put cultivars and places into a season that was just begun, as one action.

    Raises ``Refusal``; then none of them is in it.
    """
    cultivars = [
        cultivar
        for crop, names in beginning.cultivars.items()
        for cultivar in _cultivars(crop, names)
    ]
    places = [_place(kind, name) for kind, name in beginning.places.items()]
    if cultivars or places:
        season.do(actions.details.furnish, cultivars, places)


def _place(kind: PlaceKind, name: str) -> tuple[Place, float]:
    """A place of a kind with what is usual for it, and its set point (C)."""
    usual = DEFAULTS[kind]
    place = Place(
        id=new_id(),
        name=name,
        kind=kind,
        half_cooling_h=usual.half_cooling_h,
        daily_swing_k=usual.daily_swing_k,
    )
    return place, usual.set_point_c


def _cultivars(crop: str, names: Iterable[str]) -> list[Cultivar]:
    return [Cultivar(id=new_id(), crop=crop, name=name) for name in names]
