"""The words of a published case."""

from dataclasses import replace

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.statement import Asks, Start, Statement, Waits
from ripenroom.season import actions
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.published.statement_words import case_words
from ripenroom.window.session import Session

PAWPAW = shipped_profiles()["pawpaw"]
TOMATO = shipped_profiles()["tomato"]
WARM = Waits(22.0, 0.0, None)
SAID = Statement(Asks.READY, 3.0, 5.0, 0.5, "trial", "made", start=Start(feel=1), stays=(WARM,))


@pytest.fixture
def us_units(session: Session) -> Units:
    season = session.season
    season.do(actions.season.save, replace(season.book.season, units="us"))
    return Units(session.words, "lbf")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "Slight give, at 22 °C"),
        ({"start": Start()}, "As picked, at 22 °C"),
        ({"start": Start(ready=True)}, "Ready, at 22 °C"),
        ({"start": Start(at_n=40.0)}, "40 N, at 22 °C"),
        ({"group": "Bartlett"}, "Slight give, at 22 °C, Bartlett"),
        ({"ethylene_h": 24.0}, "Slight give, 24 h of ethylene, at 22 °C"),
        ({"ethylene_h": 168.0}, "Slight give, 7 days of ethylene, at 22 °C"),
        ({"stays": (Waits(21.0, 3.0, None),)}, "Slight give, at 18 to 24 °C"),
        ({"stays": (Waits(-1.1, 0.0, 14.0), WARM)},
         "Slight give, 14 days at -1.1 °C, then at 22 °C"),
        ({"stays": (Waits(4.0, 0.0, 1.0),)}, "Slight give, 1 day at 4 °C"),
        ({"times_at_c": 16.0}, "Slight give, at 22 °C against 16 °C"),
        ({"asks": Asks.MARK, "mark_n": 9.8}, "Slight give, until 9.8 N, at 22 °C"),
        ({"asks": Asks.FIGURE, "group": "Hass"}, "Hass"),
        ({"asks": Asks.FIGURE}, ""),
    ],
)  # fmt: skip
def test_a_case_in_words(changed: dict[str, object], words: str, units: Units) -> None:
    one = replace(SAID, **changed)  # type: ignore[arg-type]
    assert plain(case_words(one, PAWPAW, units)) == words


def test_cases_are_read_in_the_units_of_the_season(us_units: Units) -> None:
    assert plain(case_words(SAID, PAWPAW, us_units)) == "Slight give, at 71.6 °F"
    # 12 lbf are 53.38 N: NIST SP 811, appendix B.8. 18 and 24 C are 64.4 and 75.2 F.
    one = replace(SAID, start=Start(at_n=53.38), stays=(Waits(21.0, 3.0, None),))
    assert plain(case_words(one, PAWPAW, us_units)) == "12 lbf, at 64 to 75 °F"


def test_crops_that_are_looked_at_have_their_own_words(units: Units) -> None:
    one = replace(SAID, asks=Asks.MARK, mark_n=5.0)
    assert plain(case_words(one, TOMATO, units)) == (
        f"{TOMATO.feel.names[1].capitalize()}, until 5 % green, at 22 °C"
    )
