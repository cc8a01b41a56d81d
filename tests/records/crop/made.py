"""Made-up crop profiles of every sort, whole and sound: tests load them, or spoil one thing."""

from pathlib import Path

import pytest

from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile_text

WINTER = Path(__file__).with_name("winter.toml").read_text("utf-8")
"""A winter pear that needs cold or ethylene: key ``winter``, letter X."""


def winter_but(good: str, other: str) -> str:
    """The winter pear with one thing, which stands there once, replaced."""
    assert WINTER.count(good) == 1, good
    return WINTER.replace(good, other)


def renamed(key: str, name: str, letter: str) -> str:
    """The winter pear's figures as another crop."""
    head, rest = WINTER.split("\n[", 1)
    lines = [f'key = "{key}"', f'name = "{name}"', f'letter = "{letter}"', "groups = []"]
    assert head.count("=") == len(lines)
    return "\n".join(lines) + "\n[" + rest


COLOURED = """
key = "lantern"
name = "Lantern fruit"
letter = "U"
groups = []
judged_by = "colour"
sources.made = { citation = "Made up for tests", seen = true }

[firmness]
highest = { value = 100, low = 100, high = 100, unit = "% green", source = "made" }
lowest = { value = 0, low = 0, high = 0, unit = "% green", source = "made" }
at_maturity = { value = 97, low = 95, high = 99, unit = "% green", source = "made" }
ready = { value = 20, low = 15, high = 25, unit = "% green", source = "made" }
too_soft = { value = 1, low = 0.5, high = 2, unit = "% green", source = "made" }
reading_error = { value = 5, low = 3, high = 9, unit = "% green", source = "made" }

[feel]
names = ["green", "turning", "half", "full", "dark"]
slight_give = { value = 90, low = 85, high = 95, unit = "% green", source = "made" }
gives = { value = 60, low = 50, high = 70, unit = "% green", source = "made" }
soft = { value = 20, low = 15, high = 25, unit = "% green", source = "made" }
too_soft = { value = 1, low = 0.5, high = 2, unit = "% green", source = "made" }
judgement = { value = 0.3, low = 0.2, high = 0.5, unit = "age", source = "made" }

[rate]
reference_c = 20
[[rate.by_temperature]]
at_c = 10
speed = { value = 0.1, low = 0.08, high = 0.12, unit = "per day", source = "made" }
[[rate.by_temperature]]
at_c = 20
speed = { value = 0.5, low = 0.4, high = 0.6, unit = "per day", source = "made" }

[fruit]
spread = { value = 0.5, low = 0.3, high = 0.7, unit = "age", source = "made" }
mass = { value = 90, low = 70, high = 110, unit = "g", source = "made" }
per_crate = { value = 100, low = 80, high = 120, unit = "fruit", source = "made" }

[wont_ripen]
half = { value = 99.9, low = 99, high = 100, unit = "% green", source = "made" }
width = { value = 0.5, low = 0.3, high = 0.8, unit = "% green", source = "made" }

[storage]
best_low_c = 10
best_high_c = 12
humidity = { value = 90, low = 85, high = 95, unit = "%", source = "made" }
[[storage.life]]
at_c = 10
days = { value = 30, low = 20, high = 40, unit = "days", source = "made" }
"""
"""A fruit judged by its colour, its speeds as published: key ``lantern``, letter U."""

HELD = """
key = "keeper"
name = "Keeper"
letter = "Z"
groups = []
judged_by = "nothing"
sources.made = { citation = "Made up for tests", seen = true }

[ripening]
low_c = 15
high_c = 22
source = "made"
[[ripening.days]]
at_c = 10
days = { value = 12, low = 8, high = 16, unit = "days", source = "made" }
[[ripening.days]]
at_c = 20
days = { value = 4, low = 3, high = 6, unit = "days", source = "made" }

[ripe_life]
reference_c = 20
days = { value = 3, low = 2, high = 4, unit = "days", source = "made" }
q10 = { value = 2, low = 1.5, high = 2.5, unit = "per 10 C", source = "made" }

[fruit]
mass = { value = 300, low = 200, high = 400, unit = "g", source = "made" }
per_crate = { value = 40, low = 30, high = 50, unit = "fruit", source = "made" }

[storage]
best_low_c = 5
best_high_c = 8
humidity = { value = 90, low = 85, high = 95, unit = "%", source = "made" }
[[storage.life]]
at_c = 5
days = { value = 25, low = 20, high = 30, unit = "days", source = "made" }
"""
"""A fruit of which only dates are published: key ``keeper``, letter Z."""


def refusal_of(text: str, good: str, spoilt: str) -> ProfileRefusal:
    """How a profile is refused in which the one place where ``good`` stands is spoilt."""
    assert text.count(good) == 1, good
    with pytest.raises(ProfileRefusal) as caught:
        load_profile_text(text.replace(good, spoilt), Path("made"))
    return caught.value
