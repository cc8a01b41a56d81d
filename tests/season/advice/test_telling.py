"""What one fruit tells, by hand and by a gauge."""

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.advice.check_gain import telling
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_kinds import CropKind

PAWPAW = ConstantsOfCrops(shipped_profiles())[CropKind("pawpaw")]


def test_a_gauge_tells_less_once_fruit_hardly_softens_any_more() -> None:
    at_work, at_its_end = (
        telling(PAWPAW, age, PAWPAW.fruit_sd, by_hand=False).per_fruit
        for age in (PAWPAW.ready_age, PAWPAW.ready_age + 6.0)
    )
    assert at_work > 4.0 * at_its_end


def test_a_hand_errs_by_the_same_whatever_the_fruit() -> None:
    young, old = (telling(PAWPAW, age, PAWPAW.fruit_sd, by_hand=True) for age in (-1.0, 1.0))
    assert young.shared_sd == old.shared_sd > 0.0
