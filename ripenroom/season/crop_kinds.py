"""Which crops a season knows, and by whose figures a batch goes: its *kind*.

A season knows the crops that ship, and over them the farm's own from its file. A crop is what is
sold, wanted and counted; figures are looked up by kind: a crop, or a group of its cultivars that
has figures of its own. Both are the same for a batch without a cultivar, and for one whose cultivar
is in no such group.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from ripenroom.records.batch import Batch
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


class CropKind(NamedTuple):
    """A crop by its key, or a group of it that has figures of its own by its name."""

    crop: str
    group: str | None = None

    def profile_in(self, crops: Mapping[str, CropProfile]) -> CropProfile:
        """Its profile; ``KeyError`` for a crop that is not there."""
        return crops[self.crop].of_group(self.group)


def kind_of_cultivar(
    crop: str, cultivar_id: str | None, book: Book, crops: Mapping[str, CropProfile]
) -> CropKind:
    """The kind of fruit of a crop and a cultivar; a group that has no figures is none."""
    cultivar = book.cultivars.get(cultivar_id) if cultivar_id is not None else None
    # Another program may have written a batch whose cultivar is of another crop.
    if cultivar is None or cultivar.crop_group is None or cultivar.crop != crop:
        return CropKind(crop)
    profile = crops.get(crop)
    known = profile is not None and cultivar.crop_group in profile.of_groups
    return CropKind(crop, cultivar.crop_group) if known else CropKind(crop)


def kind_of(batch: Batch, book: Book, crops: Mapping[str, CropProfile]) -> CropKind:
    """The kind whose figures a batch goes by."""
    return kind_of_cultivar(batch.crop, batch.cultivar_id, book, crops)


def profile_of(batch: Batch, book: Book, crops: Mapping[str, CropProfile]) -> CropProfile | None:
    """The profile that a batch goes by; None where its crop is unknown."""
    if batch.crop not in crops:
        return None
    return kind_of(batch, book, crops).profile_in(crops)
