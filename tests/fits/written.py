"""Inferred figures put into a profile: as a document to work with, and into its file."""

import re
from copy import deepcopy
from dataclasses import asdict
from pathlib import Path

import numpy as np
import tomlkit
from tomlkit.items import InlineTable, Item

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.document import Path as Keys
from ripenroom.records.crop.profile import LeftOutSources
from ripenroom.records.crop.section import INFERRED
from ripenroom.records.crop.statement import DAYS
from ripenroom.science.spread import TAIL_80
from tests.fits.effects import Fit

_DIGITS = 3
_LEAST, _MOST = 0.06, 990.0
"""No figure that is inferred may lie beyond; days that reach the end mean: longer than anyone
looks."""


def figures_of(fit: Fit) -> dict[Keys, tuple[float, float, float]]:
    """Low, value and high (80 %) of every inferred figure by its path, in the profile's unit."""
    prior, document = fit.model.prior, fit.model.document
    found = {}
    for path, scale, at, sd in zip(prior.paths, prior.scales, fit.figures, fit.sds, strict=True):
        unit = str(document.table(path).get("unit"))
        least, most = (_LEAST, _MOST) if unit in DAYS else (0.0, np.inf)
        days = DAYS.get(unit, 1.0)
        ends = sorted(
            _rounded(min(max(scale.back(float(at + z * sd)), least / days), most / days))
            for z in (-TAIL_80, 0.0, TAIL_80)
        )
        found[path] = (ends[0], ends[1], ends[2])
    return found


def document_with(fit: Fit) -> CropDocument:
    """The crop's document with its figures as inferred."""
    document = deepcopy(fit.model.document)
    for path, ends in figures_of(fit).items():
        for key, value in zip(("low", "value", "high"), ends, strict=True):
            document.put((*path, key), value)
    return document


def write(fit: Fit, errors: LeftOutSources, path: Path) -> None:
    """Put the inferred figures and their errors into the profile file at ``path``; all else in it
    stays."""
    text = tomlkit.parse(path.read_text(encoding="utf-8"))
    for keys, ends in figures_of(fit).items():
        figure = _at(text, keys)
        for key, value in zip(("low", "value", "high"), ends, strict=True):
            figure[key] = int(value) if value == int(value) else value
        if figure["source"] != INFERRED:
            figure["source"] = INFERRED
            # What was reasoned of the value that it had does not hold for this one.
            figure.pop("note", None)
    text.pop("held_to", None)
    text["left_out"] = asdict(errors)
    # What was a note leaves a gap.
    path.write_text(re.sub(r'(?<="inferred") +}', " }", tomlkit.dumps(text)), encoding="utf-8")


def _at(text: tomlkit.TOMLDocument, keys: Keys) -> InlineTable:
    found: object = text
    for key in keys:
        found = found[key]  # type: ignore[index]
    assert isinstance(found, InlineTable | Item)
    return found  # type: ignore[return-value]


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")
