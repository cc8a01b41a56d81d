"""The crop profiles that come with the program."""

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from ripenroom.paths import resource
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile
from ripenroom.texts import tr


@cache
def shipped_profiles() -> Mapping[str, CropProfile]:
    """Every shipped profile by its key, in the order of their file names; each read once, when it
    is first asked for."""
    return CropLibrary(resource("crops"))


def shipped_text(key: str) -> str:
    """The TOML text of the shipped profile of that key; raises ``KeyError`` if there is none."""
    if key not in shipped_profiles():
        raise KeyError(key)
    return (resource("crops") / f"{key}.toml").read_text(encoding="utf-8")


class CropLibrary(Mapping[str, CropProfile]):
    """The profiles of a folder, where ``KEY.toml`` holds the profile of that key.

    Reading a profile takes a millisecond or two, and a farm grows few of all crops: so a profile
    is read when it is asked for. Then :class:`ProfileRefusal` is raised for one that is wrong.
    """

    def __init__(self, folder: Path) -> None:
        self._paths = {path.stem: path for path in sorted(folder.glob("*.toml"))}
        self._read: dict[str, CropProfile] = {}

    def __getitem__(self, key: str) -> CropProfile:
        if key not in self._read:
            path = self._paths[key]
            profile = load_profile(path)
            if profile.key != key:
                raise ProfileRefusal(
                    path, "key", tr('needs to be "{key}", as the file is named').format(key=key)
                )
            self._read[key] = profile
        return self._read[key]

    def __contains__(self, key: object) -> bool:
        return key in self._paths

    def __iter__(self) -> Iterator[str]:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)
