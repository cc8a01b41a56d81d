"""The shipped profiles: complete, sourced, told apart by key and letter."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from ripenroom.records.crop.figures import ESTIMATE
from ripenroom.records.crop.library import load_folder, shipped_profiles
from ripenroom.records.crop.profile import CropProfile, Figure
from ripenroom.records.crop.section import ProfileRefusal
from tests.records.crop.conftest import QUINCE

CROPS = ["avocado", "pawpaw", "pear"]


def figures(part: object) -> Iterator[Figure]:
    """Every figure of a profile, however deep."""
    if isinstance(part, Figure):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from figures(item)
    elif is_dataclass(part):
        for field in fields(part):
            yield from figures(getattr(part, field.name))


@pytest.fixture(params=CROPS)
def shipped(request: pytest.FixtureRequest) -> CropProfile:
    return shipped_profiles()[request.param]


def test_three_crops_ship_and_are_read_once() -> None:
    assert list(shipped_profiles()) == CROPS
    assert shipped_profiles() is shipped_profiles()


def test_batch_letters_differ() -> None:
    assert {key: profile.letter for key, profile in shipped_profiles().items()} == {
        "avocado": "A",
        "pawpaw": "P",
        "pear": "E",
    }


def test_pawpaw_is_kept_in_three_groups() -> None:
    assert shipped_profiles()["pawpaw"].groups == ("early", "mid", "late")


def test_every_figure_has_a_source_and_a_true_range(shipped: CropProfile) -> None:
    found = list(figures(shipped))
    assert len(found) >= 25
    for figure in found:
        assert figure.low <= figure.value <= figure.high
        assert figure.source == ESTIMATE or figure.source in shipped.sources
        assert not figure.is_estimate or len(figure.note) > 20


def test_every_estimate_says_that_it_is_uncertain(shipped: CropProfile) -> None:
    for figure in figures(shipped):
        if figure.is_estimate:
            assert figure.low < figure.value < figure.high


def test_every_source_carries_a_figure(shipped: CropProfile) -> None:
    used = {figure.source for figure in figures(shipped)}
    assert set(shipped.sources) == used - {ESTIMATE}


def test_what_the_sources_print_is_what_the_profiles_hold() -> None:
    """Copied figures, in the unit that they were printed in."""
    pawpaw, pear, avocado = (shipped_profiles()[key] for key in ("pawpaw", "pear", "avocado"))
    # McGrath & Karahadian 1994: ripe under 1.0 kg.
    assert pawpaw.firmness.ready_n.value == pytest.approx(9.80665)
    # HortTechnology 1996: 18 lbf at commercial maturity; Agar et al. 2000: ripe at 14 N.
    assert pear.firmness.at_maturity_n.value == pytest.approx(80.07, abs=0.01)
    assert pear.firmness.ready_n.value == 14
    # Hass at harvest 200 N, fully ripe at or below 6.7 N (pre-ripening study).
    assert avocado.firmness.at_maturity_n.value == 200
    assert avocado.firmness.ready_n.value == 6.7


def test_a_second_profile_may_not_take_a_key_or_a_letter(tmp_path: Path) -> None:
    content = QUINCE.read_text("utf-8")
    (tmp_path / "a.toml").write_text(content, "utf-8")
    (tmp_path / "b.toml").write_text(content.replace('"quince"', '"medlar"'), "utf-8")
    with pytest.raises(ProfileRefusal) as caught:
        load_folder(tmp_path)
    assert (caught.value.path.name, caught.value.key) == ("b.toml", "letter")
    assert "taken by Quince" in caught.value.reason

    (tmp_path / "b.toml").write_text(content.replace('"Q"', '"M"'), "utf-8")
    with pytest.raises(ProfileRefusal) as caught:
        load_folder(tmp_path)
    assert (caught.value.path.name, caught.value.key) == ("b.toml", "key")


def test_a_folder_without_profiles_is_empty(tmp_path: Path) -> None:
    assert load_folder(tmp_path) == {}
