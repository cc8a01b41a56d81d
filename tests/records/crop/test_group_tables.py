"""Cultivar groups with figures of their own, laid over the crop's."""

from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.group_tables import MOST_GROUPS
from ripenroom.records.crop.profile import Figure
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.made import WINTER, winter_but

NAMED = winter_but("groups = []", 'groups = ["early", "red skin"]')
SPEED = 'speed = { value = 0.9, low = 0.7, high = 1.1, unit = "per day", source = "made" }\n'
FASTER = NAMED + '\n[group."red skin".rate]\n' + SPEED
NEEDS = """
[[group.early.gate.needs]]
at_c = 5
days = { value = 8, low = 6, high = 10, unit = "days", source = "made" }
"""
MADE = Path("made")


def test_a_group_has_its_own_figures_and_else_the_crops() -> None:
    crop, plain = load_profile_text(FASTER + NEEDS, MADE), load_profile_text(NAMED, MADE)
    assert replace(crop, of_groups=plain.of_groups) == plain
    red = crop.of_group("red skin")
    assert red == replace(plain, rate=replace(plain.rate, per_day=Figure(0.9, 0.7, 1.1, "made")))
    early = crop.of_group("early").gate
    assert early is not None
    assert plain.gate is not None
    # A list by temperature stands in the place of the crop's; what is beside it stays.
    assert [(at.temperature_c, at.days.value) for at in early.needs] == [(5.0, 8.0)]
    assert replace(early, needs=plain.gate.needs) == plain.gate
    assert crop.of_group("late") is crop
    assert crop.of_group(None) is crop


def test_a_document_with_groups_is_written_as_it_was_read() -> None:
    text = CropDocument(FASTER + NEEDS).text
    assert load_profile_text(text, MADE) == load_profile_text(FASTER + NEEDS, MADE)


@pytest.mark.parametrize(
    ("text", "key", "reason"),
    [
        (WINTER + '\n[group.early.rate]\n' + SPEED, "group.early", "not among the groups"),
        (NAMED + "\n[group.early]\n", "group.early", "leave it out"),
        (NAMED + "\n[group]\nearly = 3\n", "group.early", "needs to be a table"),
        (NAMED + '\n[group.early]\nletter = "Q"\n', "group.early.letter", "none of its own"),
        (NAMED + "\n[group.early.fruit]\nmass = 3\n", "group.early.fruit.mass", "none of its own"),
        (NAMED + "\n[group.early.group.early]\n", "group.early.group", "none of its own"),
        (FASTER.replace("value = 0.9", "value = 1.9"), "group.red skin.rate.speed.high", "below"),
        (FASTER.replace("[group", "[group.early.rate]\npace = 3\n[group"),
         "group.early.rate.pace", "unknown key"),
        (NAMED + NEEDS.replace("at_c = 5", "at_c = 20"), "group.early.gate.none_above_c", "above"),
    ],
)  # fmt: skip
def test_a_wrong_group_is_refused_by_key_and_reason(text: str, key: str, reason: str) -> None:
    with pytest.raises(ProfileRefusal) as caught:
        load_profile_text(text, MADE)
    assert caught.value.key == key
    assert reason in caught.value.reason


def test_groups_are_counted() -> None:
    names = [f"g{number}" for number in range(MOST_GROUPS + 1)]
    text = winter_but("groups = []", f"groups = {names}".replace("'", '"'))
    text += "".join(f"\n[group.{name}.rate]\n{SPEED}" for name in names)
    with pytest.raises(ProfileRefusal) as caught:
        load_profile_text(text, MADE)
    assert caught.value.key == "group"
