"""Figures in the season's units."""

from dataclasses import replace

import pytest

from ripenroom.records.crop.section import Quantity
from ripenroom.season import actions
from ripenroom.units import NEWTONS_PER
from ripenroom.window.crops.figure_units import Units, decimals_of
from ripenroom.window.session import Session
from ripenroom.wording.formats import Formats


def us(session: Session) -> Units:
    season = session.season
    season.do(actions.season.save, replace(season.book.season, units="us"))
    return Units(session.words, "lbf")


def test_metric_units(session: Session) -> None:
    units = Units(session.words, "N")
    assert units.shown(Quantity.TEMPERATURE, 7.0, 5.0, 10.0) == "7 °C (5–10)"
    assert units.shown(Quantity.FIRMNESS, 9.80665, 7.4, 12.3) == "9.8 N (7.4–12.3)"
    assert units.shown(Quantity.MASS, 150.0) == "150 g"
    assert units.shown(Quantity.Q10, 2.0) == "2 per 10 °C"


def test_us_units(session: Session) -> None:
    units = us(session)
    assert units.shown(Quantity.TEMPERATURE, 0.0) == "32 °F"
    assert units.shown(Quantity.FIRMNESS, NEWTONS_PER["lbf"] * 4.0) == "4 lbf"
    assert units.shown(Quantity.MASS, 453.59237) == "1 lb"
    assert units.shown(Quantity.Q10, 2.0) == "2 per 18 °F"
    assert units.unit_written(Quantity.TEMPERATURE) == "F"
    assert units.unit_written(Quantity.MASS) == "lb"


def test_what_a_note_quotes_stands_beside_in_the_reader_s_units(session: Session) -> None:
    note = "A house of 14-16 C needs 9 days; 3.8 N, at 3 to 4 lbf or -1.15 C; 5 C warmer, 78 Ca."
    assert Units(session.words, "N").beside(note) == note.replace("4 lbf", "4 lbf (13–18 N)")
    assert us(session).beside(note) == (
        "A house of 14-16 C (57–61 °F) needs 9 days; 3.8 N (0.9 lbf), at 3 to 4 lbf or "
        "-1.15 C (30 °F); 5 C warmer, 78 Ca."
    )


def test_per_cent_are_written_as_the_reader_writes_them(session: Session) -> None:
    details, zone = session.season.book.season, session.season.zone
    for locale, said in (("en_US", "30% green"), ("de_DE", "30 % green")):
        units = Units(Formats(locale, details, zone), "N")
        assert units.shown(Quantity.GREEN, 30.0) == said


@pytest.mark.parametrize("quantity", list(Quantity))
def test_every_quantity_can_be_shown_and_written(session: Session, quantity: Quantity) -> None:
    for units in (Units(session.words, "kgf"), us(session)):
        assert units.shown(quantity, 2.0, 1.0, 3.0).endswith(")")
        assert units.unit_written(quantity) in quantity.value.units


def test_a_range_without_width_is_one_number(session: Session) -> None:
    units = Units(session.words, "N")
    assert units.shown(Quantity.GREEN, 100.0, 100.0, 100.0) == "100 % green"


@pytest.mark.parametrize(
    ("numbers", "decimals"),
    [([43.0, 30.0, 48.0], 0), ([0.8, 0.6, 1.25], 2), ([0.02], 2), ([0.0, 2.5], 1), ([1e-9], 4)],
)
def test_as_many_decimals_as_needed(numbers: list[float], decimals: int) -> None:
    assert decimals_of(numbers) == decimals
