"""Choosing what is drawn."""

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.window.crops.curves import Compared, CurvesView, compare_choices
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.session import Session


@pytest.fixture
def view(qtbot: QtBot, session: Session) -> CurvesView:
    made = CurvesView(session)
    qtbot.addWidget(made)
    made.resize(700, 500)
    made.show()
    return made


def test_the_feels_are_the_crops_own(view: CurvesView, units: Units) -> None:
    view.show_crop("tomato", units)
    names = view.session.season.crops["tomato"].feel.names
    assert [view.feel.itemText(n) for n in range(view.feel.count())] == list(names[:4])
    view.show_crop("banana", units)
    assert not view.feel.isVisible()


def test_choosing_another_feel_or_crop_draws_it(view: CurvesView, units: Units) -> None:
    view.show_crop("pawpaw", units)
    assert view.charts is not None
    before = view.charts.ready.words.text()
    view.feel.setCurrentIndex(0)
    view.feel.activated.emit(0)
    other = view.charts.ready.words.text()
    assert other != before
    pear = next(n for n in range(view.other.count()) if view.other.itemText(n) == "Plum")
    view.other.setCurrentIndex(pear)
    view.other.activated.emit(pear)
    assert "Plum, days" in view.charts.ready.words.text()


def test_a_cultivar_can_be_compared_with_its_crop(
    view: CurvesView, session: Session, units: Units
) -> None:
    session.season.do(
        actions.orchard.save_cultivar,
        Cultivar(id="q", crop="pawpaw", name="Quick", rate_factor=2.0),
    )
    view.show_crop("pawpaw", units)
    assert view.other.itemText(1) == "Quick"
    view.other.setCurrentIndex(1)
    view.other.activated.emit(1)
    assert view.charts is not None
    assert "Quick, days" in view.charts.ready.words.text()


def test_other_crops_are_offered_by_name(session: Session) -> None:
    choices = compare_choices(session.season, "pawpaw")
    names = [name for _, name in choices]
    assert names == sorted(names, key=str.casefold)
    assert "Pawpaw" not in names
    assert len(names) == len(session.season.crops) - 1


def test_a_cultivar_of_its_own_pace_comes_first_and_is_faster(session: Session) -> None:
    season = session.season
    season.do(
        actions.orchard.save_cultivar,
        Cultivar(id="quick", crop="pawpaw", name="Quick", rate_factor=2.0),
    )
    choice, name = compare_choices(season, "pawpaw")[0]
    assert name == "Quick"
    assert isinstance(choice, Compared)
    quick, usual = choice.drawn(season), Compared("pawpaw").drawn(season)
    assert quick is not None
    assert usual is not None
    assert quick.name == "Quick"
    some = np.isfinite(usual.curves.days_to_ready.mid[1])
    halved = quick.curves.days_to_ready.mid[1][some] * 2.0
    assert np.allclose(halved, usual.curves.days_to_ready.mid[1][some])


def test_a_crop_that_is_gone_has_no_curves(session: Session) -> None:
    assert Compared("gone").drawn(session.season) is None
