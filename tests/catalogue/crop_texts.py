"""What crop profiles say in words, as texts of the catalogue, each in the context of its crop."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from ripenroom.records.crop.crop_names import GATES, context_of, fruit_context_of, fruit_forms
from ripenroom.records.crop.library import CropLibrary


class CropText(NamedTuple):
    """A text, or the forms for one and for several fruit; ``file`` is the profile's name."""

    file: str
    context: str
    text: str | tuple[str, str]


def crop_texts(folder: Path) -> Iterator[CropText]:
    """The texts of all profiles of a folder; what no reader sees is left out."""
    for key, crop in CropLibrary(folder).items():
        file, context = f"{key}.toml", context_of(key)
        yield CropText(file, context, crop.name)
        yield CropText(file, fruit_context_of(key), fruit_forms(crop.name))
        for text in (*crop.groups, *crop.feel.names, crop.about, *crop.cautions):
            if text:
                yield CropText(file, context, text)
        if crop.gate is not None:
            yield CropText(file, GATES, crop.gate.name)
