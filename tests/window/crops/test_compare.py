"""What a crop is laid beside."""

import numpy as np

from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.window.crops.compare import Compared, compare_choices
from ripenroom.window.session import Session


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
