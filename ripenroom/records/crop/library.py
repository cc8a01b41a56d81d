"""The crop profiles that come with the program."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from ripenroom.paths import resource
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile


@cache
def shipped_profiles() -> Mapping[str, CropProfile]:
    """Every shipped profile by its key, in the order of their file names; read once."""
    return load_folder(resource("crops"))


def load_folder(folder: Path) -> Mapping[str, CropProfile]:
    """Every ``*.toml`` profile in ``folder`` by its key, in the order of their file names.

    Raises :class:`ProfileRefusal` for the first profile that is wrong, or that takes the key or
    the batch letter of one before it: batch codes would no longer tell the two crops apart.
    """
    profiles: dict[str, CropProfile] = {}
    for path in sorted(folder.glob("*.toml")):
        profile = load_profile(path)
        for other in profiles.values():
            if other.key == profile.key:
                raise ProfileRefusal(path, "key", f'"{profile.key}" is taken by another profile')
            if other.letter == profile.letter:
                raise ProfileRefusal(path, "letter", f"{profile.letter} is taken by {other.name}")
        profiles[profile.key] = profile
    return MappingProxyType(profiles)
