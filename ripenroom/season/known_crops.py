"""Which crops a season knows: those that ship, and over them the farm's own from its file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile_text
from ripenroom.records.orchard import OwnCrop
from ripenroom.texts import tr


@dataclass(frozen=True, slots=True)
class KnownCrops:
    """Crop profiles by key; ``own`` are the keys of those that come from the season file.

    ``problems`` say in words which own crops cannot be read. Such a crop is as unknown as one that
    was never heard of: shipped figures must not quietly stand in for a farm's own.
    """

    profiles: Mapping[str, CropProfile]
    own: frozenset[str]
    problems: tuple[str, ...]


def crops_of(book: Book) -> KnownCrops:
    """The crops of a season; never fails, whatever its file holds."""
    shipped = shipped_profiles()
    records = own_crops_of(book)
    own: dict[str, CropProfile] = {}
    problems = []
    for record in records:
        try:
            own[record.key] = _read(record)
        except ProfileRefusal as refusal:
            where = f"{refusal.key}: " if refusal.key else ""
            name = f"{record.key:.40}"
            problems.append(
                tr("The season’s own crop “{name}”: {where}{reason}.").format(
                    name=name, where=where, reason=refusal.reason
                )
            )
    if not records:
        return KnownCrops(shipped, frozenset(), ())
    broken = {record.key for record in records} - own.keys()
    return KnownCrops(_Overlaid(own, broken, shipped), frozenset(own), tuple(problems))


class _Overlaid(Mapping[str, CropProfile]):
    """Shipped profiles, still unread where nobody asks for them, with own ones in their place."""

    def __init__(
        self,
        own: Mapping[str, CropProfile],
        broken: set[str],
        shipped: Mapping[str, CropProfile],
    ) -> None:
        self._own = own
        self._shipped = shipped
        both = dict.fromkeys((*shipped, *own))
        self._keys = {key: None for key in both if key not in broken}

    def __getitem__(self, key: str) -> CropProfile:
        if key not in self._keys:
            raise KeyError(key)
        return self._own[key] if key in self._own else self._shipped[key]

    def __contains__(self, key: object) -> bool:
        return key in self._keys

    def __iter__(self) -> Iterator[str]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)


def own_crops_of(book: Book) -> list[OwnCrop]:
    """Own crops by key; of two with one key, which no action makes, the first by id counts."""
    found: dict[str, OwnCrop] = {}
    for record in sorted(book.own_crops.values(), key=lambda own: (own.key, own.id)):
        found.setdefault(record.key, record)
    return list(found.values())


def _read(record: OwnCrop) -> CropProfile:
    path = Path(record.key)
    profile = load_profile_text(record.text, path)
    if profile.key != record.key:
        raise ProfileRefusal(path, "key", tr("says “{key}”").format(key=profile.key))
    return profile
