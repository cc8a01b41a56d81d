"""What quantities in words mean for a profile."""

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.crop_constants import crop_constants
from tests.fits.subjects import UnknownQuantityError, ripening, span, storage

PEAR, APPLE = shipped_profiles()["pear"], shipped_profiles()["apple"]


def test_without_a_start_days_run_from_maturity_to_ripe() -> None:
    pear = crop_constants(PEAR)
    whole = pear.ready_age - pear.maturity_age
    for words in ("ripe", "ready", "table-ripe"):
        assert span(f"days to {words}", PEAR) == pytest.approx(whole)


def test_a_way_in_two_parts_is_as_long_as_the_whole() -> None:
    whole = span("days to ripe from 60 N", PEAR)
    parts = span("days to 30 N from 60 N", PEAR) + span("days to ripe from 30 N", PEAR)
    assert parts == pytest.approx(whole)
    assert span("days to ripe from 6 lbf", PEAR) == pytest.approx(
        span("days to ripe from 26.689 N", PEAR), rel=1e-4
    )


def test_too_soft_is_further_than_ripe() -> None:
    pear = crop_constants(PEAR)
    further = span("days to too soft", PEAR) - span("days to ripe", PEAR)
    assert further == pytest.approx(pear.too_soft_age - pear.ready_age)


def test_softer_feels_are_nearer_to_ripe() -> None:
    ways = [span(f"days to ripe from {feel}", PEAR) for feel in ("hard", "slight give", "gives")]
    assert ways == sorted(ways, reverse=True)
    assert ways[-1] < ways[0] / 2


def test_a_whole_storage_life_is_used_up_in_its_days() -> None:
    keeping = storage(APPLE)
    assert span("storage life", APPLE) == 1.0
    assert keeping.reference_c == 0.0
    assert 1.0 / keeping.per_day == pytest.approx(APPLE.storage.life[1].days.value)
    assert keeping.slope_kj_mol > 30.0


def test_a_clock_with_a_heat_limit_keeps_it() -> None:
    pear = ripening(PEAR)
    assert PEAR.rate.activation_kj_mol is not None
    response = pear.response(PEAR.rate.activation_kj_mol.value)
    constants = crop_constants(PEAR)
    assert response == constants.response
    assert pear.whole is None


@pytest.mark.parametrize(
    "quantity",
    ["time to ripe", "days to glory", "days to ripe from blue", "days to 60 N from 30 N"],
)
def test_other_words_are_refused(quantity: str) -> None:
    with pytest.raises(UnknownQuantityError):
        span(quantity, PEAR)
