"""A crop profile of this farm's own, kept in its season file."""

from dataclasses import dataclass

from ripenroom.records.limits import CropKey, Id, ProfileText


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCrop:
    """A crop profile as TOML ``text``; ``key`` is the profile's own key.

    It stands in for a shipped profile of the same key, or adds a crop.
    """

    id: Id
    key: CropKey
    text: ProfileText
