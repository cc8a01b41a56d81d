"""Crops of the practice season, and how dialogs are answered."""

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import FigureRow, figure_groups
from ripenroom.window.session import Session


@pytest.fixture
def units(session: Session) -> Units:
    return Units(session.words, "N")


def lines_of(session: Session, key: str, units: Units) -> dict[str, FigureRow]:
    """Every line of a crop by the dotted path it stands at."""
    season = session.season
    document = CropDocument(season.crop_text(key))
    return {
        ".".join(str(part) for part in line.path): line
        for group in figure_groups(document, season.crops[key], units)
        for line in group.lines
    }
