"""Whose figures a batch goes by: those of its crop, or of its cultivar's group of the crop.

A crop is what is sold, wanted and counted; figures are looked up by kind. Both are the same for a
batch without a cultivar, and for one whose cultivar is in no group that has figures of its own.
"""

from collections.abc import Mapping
from typing import NamedTuple

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile


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
