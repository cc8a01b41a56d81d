"""What a crop's curves can be laid beside: its cultivars of another pace, and other crops."""

from dataclasses import dataclass

from ripenroom.records.crop.called import called
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.crop_curves import CropCurves
from ripenroom.season.season import Season


@dataclass(frozen=True, slots=True)
class DrawnCrop:
    """Curves with what they are of; ``name`` is written beside them."""

    name: str
    crop: CropProfile
    curves: CropCurves


@dataclass(frozen=True, slots=True)
class Compared:
    """A crop by its key, or one of its cultivars."""

    key: str
    cultivar_id: str | None = None

    def drawn(self, season: Season) -> DrawnCrop | None:
        """Its curves; None if the season does not know it any more."""
        crop = season.crops.get(self.key)
        if crop is None:
            return None
        cultivar = season.book.cultivars.get(self.cultivar_id or "")
        if cultivar is None:
            return DrawnCrop(called(crop), crop, season.crop_curves(self.key))
        group = cultivar.crop_group
        curves = season.crop_curves(self.key, cultivar.rate_factor, group)
        return DrawnCrop(cultivar.name, crop.of_group(group), curves)


def compare_choices(season: Season, key: str) -> list[tuple[object, str]]:
    """What the list offers: cultivars of this crop that go another way, then other crops."""
    of_groups = season.crops[key].of_groups if key in season.crops else {}
    cultivars = sorted(season.book.cultivars.values(), key=lambda c: c.name.casefold())
    paced: list[tuple[object, str]] = [
        (Compared(key, c.id), c.name)
        for c in cultivars
        if c.crop == key and (c.rate_factor != 1.0 or c.crop_group in of_groups)
    ]
    others = sorted(season.crops.values(), key=lambda crop: called(crop).casefold())
    return paced + [(Compared(crop.key), called(crop)) for crop in others if crop.key != key]
