"""The shipped profiles: complete, sourced, told apart by key and letter."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from ripenroom.paths import resource
from ripenroom.records.crop.library import CropLibrary, shipped_profiles, shipped_text
from ripenroom.records.crop.profile import CropProfile, Figure
from ripenroom.records.crop.section import ESTIMATE, INFERRED, RESERVED, ProfileRefusal
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.conftest import QUINCE

CROPS = sorted(path.stem for path in resource("crops").glob("*.toml"))


def figures(part: object) -> Iterator[Figure]:
    """Every figure of a profile, however deep."""
    if isinstance(part, Figure):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from figures(item)
    elif isinstance(part, Mapping):
        yield from figures(tuple(part.values()))
    elif is_dataclass(part):
        for field in fields(part):
            yield from figures(getattr(part, field.name))


@pytest.fixture(params=CROPS)
def shipped(request: pytest.FixtureRequest) -> CropProfile:
    return shipped_profiles()[request.param]


def test_the_promised_crops_ship_and_are_read_once() -> None:
    assert list(shipped_profiles()) == CROPS
    for full in (
        *("pawpaw", "peach", "pear", "anjou", "bosc", "comice", "tomato", "avocado", "plum"),
        *("kiwifruit", "mango", "persimmon", "persimmon_astringent", "papaya"),
    ):
        assert shipped_profiles()[full].judged_by != "nothing"
    for held in (
        *("banana", "plantain", "apricot", "cherimoya", "guava", "feijoa", "kiwiberry"),
        *("quince", "apple", "fig"),
    ):
        assert shipped_profiles()[held].judged_by == "nothing"
    assert shipped_profiles() is shipped_profiles()


def test_batch_letters_differ() -> None:
    letters = {key: profile.letter for key, profile in shipped_profiles().items()}
    assert len(set(letters.values())) == len(letters)
    # Codes already written down must go on meaning the same crop.
    assert [letters[key] for key in ("avocado", "pawpaw", "pear")] == ["A", "P", "E"]


def test_pawpaw_is_kept_in_three_groups() -> None:
    assert shipped_profiles()["pawpaw"].groups == ("early", "mid", "late")


def test_the_groups_that_differ_have_figures_of_their_own() -> None:
    own = {key: tuple(crop.of_groups) for key, crop in shipped_profiles().items() if crop.of_groups}
    assert own == {
        "avocado": ("green-skinned",),
        "kiwifruit": ("gold",),
        "peach": ("early season", "late season"),
    }
    peach = shipped_profiles()["peach"]
    early, late = (peach.of_group(f"{name} season").rate.per_day for name in ("early", "late"))
    assert early.value > peach.rate.per_day.value > late.value
    assert peach.of_group("mid season") is peach
    assert peach.of_group(None) is peach


def test_every_figure_has_a_source_and_a_true_range(shipped: CropProfile) -> None:
    found = list(figures(shipped))
    assert len(found) >= 20
    for figure in found:
        assert figure.low <= figure.value <= figure.high
        assert figure.source in RESERVED or figure.source in shipped.sources
        assert figure.source != ESTIMATE or len(figure.note) > 20


def test_what_is_inferred_rests_on_statements_and_is_uncertain(shipped: CropProfile) -> None:
    inferred = [figure for figure in figures(shipped) if figure.source == INFERRED]
    assert inferred
    assert shipped_statements(shipped.key)
    # A value may lie at the end of what can be, never both ends of its range.
    assert all(figure.low < figure.high for figure in inferred)


def test_every_estimate_says_that_it_is_uncertain(shipped: CropProfile) -> None:
    for figure in figures(shipped):
        by_definition = "definition of the scale" in figure.note or "Made up" in figure.note
        if figure.source == ESTIMATE and not by_definition:
            assert figure.low < figure.value < figure.high


def test_every_source_carries_a_figure_or_bears_on_one(shipped: CropProfile) -> None:
    """Or it is that of a published statement. Sources that only bear on a figure, such as one that
    disagrees, begin a note of theirs.
    """
    used = {figure.source for figure in figures(shipped)} | {shipped.package_source}
    for part in (shipped.ripening, shipped.ethylene):
        used |= {part.source} if part else set()
    used |= {statement.source for statement in shipped_statements(shipped.key)}
    assert used - {*RESERVED, ""} <= set(shipped.sources)
    notes = " ".join([figure.note for figure in figures(shipped)] + [shipped.about])
    for key in set(shipped.sources) - used:
        # By its first author, its number or the institute that it is from, so by names and numbers.
        words = re.findall(r"\b[A-Z0-9][^\W_]{2,}", shipped.sources[key].citation)
        assert any(word in notes for word in words[:4]), key


def test_what_the_sources_print_is_what_the_profiles_hold() -> None:
    """Copied figures that are set by hand, in the unit that they were printed in; what is inferred
    is held to all statements (``tests.fits``).
    """
    pear, avocado = (shipped_profiles()[key] for key in ("pear", "avocado"))
    # HortTechnology 1996: 18 lbf at commercial maturity.
    assert pear.firmness.at_maturity_n.value == pytest.approx(80.07, abs=0.01)
    # Hass at harvest 200 N (pre-ripening study).
    assert avocado.firmness.at_maturity_n.value == 200
    assert INFERRED not in {crop.firmness.at_maturity_n.source for crop in (pear, avocado)}


def test_the_text_of_a_profile_is_that_of_its_file() -> None:
    for key in shipped_profiles():
        text = shipped_text(key)
        assert load_profile_text(text, Path(key)) == shipped_profiles()[key]
    for key in ("medlar", "../demo/practice", "points/pear"):
        with pytest.raises(KeyError):
            shipped_text(key)


def test_nothing_is_read_before_it_is_asked_for(tmp_path: Path) -> None:
    (tmp_path / "quince.toml").write_bytes(QUINCE.read_bytes())
    (tmp_path / "broken.toml").write_text("no profile", "utf-8")
    (tmp_path / "other.toml").write_bytes(QUINCE.read_bytes())
    (tmp_path / "notes.txt").write_text("no profile either", "utf-8")
    shelf = CropLibrary(tmp_path)
    assert (list(shelf), len(shelf)) == (["broken", "other", "quince"], 3)
    assert "broken" in shelf
    assert "notes" not in shelf
    assert shelf["quince"].name == "Quince"
    with pytest.raises(ProfileRefusal, match="not TOML"):
        shelf["broken"]
    with pytest.raises(ProfileRefusal) as caught:
        shelf["other"]
    assert caught.value.key == "key"
    with pytest.raises(KeyError):
        shelf["medlar"]


def test_a_folder_without_profiles_is_empty(tmp_path: Path) -> None:
    assert dict(CropLibrary(tmp_path)) == {}
