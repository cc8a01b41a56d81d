"""What a crop's profile says in prose, with its temperatures in the season's unit."""

import re
from collections.abc import Iterable

from ripenroom.records.crop.called import as_called, called
from ripenroom.records.crop.profile import CropProfile
from ripenroom.wording.formats import Formats

_CELSIUS = re.compile(r"(?<![\w.])(?:(\d+)( \w+ |-))?(\d+) C\b")
"""``"24 C"``, ``"10-13 C"`` or ``"2 and 8 C"``: profiles are written in whole degrees Celsius."""


def about_words(crop: CropProfile, words: Formats) -> str:
    """What the crop is, in a sentence or two."""
    return _in_its_unit(as_called(crop, crop.about), words)


def caution_words(crop: CropProfile, words: Formats) -> str:
    """All cautions of the crop; empty where it has none."""
    return _in_its_unit(" ".join(as_called(crop, one) for one in crop.cautions), words)


def cautions_of(crops: Iterable[CropProfile], words: Formats) -> list[tuple[str, str]]:
    """The crops that need care, by name, each with its cautions."""
    return [(called(crop), caution_words(crop, words)) for crop in crops if crop.cautions]


def _in_its_unit(text: str, words: Formats) -> str:
    def shown(found: re.Match[str]) -> str:
        first, between, last = found.groups()
        until = words.temperature(float(last), 0)
        if first is None:
            return until
        start = words.temperature(float(first), 0).removesuffix(f" °{words.temperature_unit}")
        return f"{start}{between.replace('-', '–')}{until}"

    return _CELSIUS.sub(shown, text)
