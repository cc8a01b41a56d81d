"""Records by the names that users type."""

from collections.abc import Mapping
from typing import Protocol, TypeVar

from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal


class _Named(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...


_N = TypeVar("_N", bound=_Named)


def crop_key(typed: str, crops: Mapping[str, CropProfile]) -> str:
    """The key of the crop of that key or name, in capitals or not."""
    for key, profile in crops.items():
        if typed.strip().casefold() in (key.casefold(), profile.name.casefold()):
            return key
    known = ", ".join(crops)
    raise Refusal(
        "crop", "There is no crop “{crop}” here; known: {known}.", crop=typed, known=known
    )


def named(field: str, name: str, there: Mapping[str, _N]) -> _N:
    """The record of that name, in capitals or not; refuses ``field`` if there is none."""
    for record in there.values():
        if record.name.strip().casefold() == name.strip().casefold():
            return record
    known = ", ".join(sorted(record.name for record in there.values())) or "none yet"
    raise Refusal(field, "There is none named “{name}”; known: {known}.", name=name, known=known)
