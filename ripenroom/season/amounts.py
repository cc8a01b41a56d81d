"""How many fruit a batch is, also where it was weighed and not counted."""

from ripenroom.records.batch import Batch
from ripenroom.records.crop.profile import CropProfile


def fruit_mass_kg(profile: CropProfile) -> float:
    """Mass (kg) of the crop's usual fruit."""
    return profile.fruit_mass_g.value / 1000.0


def fruit_picked(batch: Batch, usual_mass_kg: float) -> float:
    """Fruit in a batch as picked: the count, or the weight over the mass of a usual fruit (kg)."""
    if batch.count is not None:
        return float(batch.count)
    return (batch.weight_kg or 0.0) / usual_mass_kg
