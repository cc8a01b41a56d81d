"""Temperature logs are taken in and out, and refused where they cannot be."""

from datetime import timedelta

import numpy as np
import pytest

from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, SHELF, refused

START_S = int((NOW - timedelta(days=10)).timestamp())
TIMES = START_S + 600 * np.arange(6 * 24 * 9)
WARM = np.full(TIMES.size, 9.0)


def test_a_log_is_taken_in_and_undone(living: Season) -> None:
    before = living.book
    log = living.do(actions.temperature_logs.add, COLD, "fridge.csv", "Probe\t1\n", TIMES, WARM)
    assert living.ask.logs_of_place(COLD) == (log,)
    assert (log.probe, log.ends_at - log.starts_at) == ("Probe 1", timedelta(days=9, minutes=-10))
    assert living.undo() == "temperature log of Cold"
    assert living.book == before


def test_a_log_is_deleted_and_brought_back(living: Season) -> None:
    log = living.do(actions.temperature_logs.add, COLD, "fridge.csv", "", TIMES, WARM)
    living.do(actions.temperature_logs.delete, log.id)
    assert not living.book.temperature_logs
    assert living.undo() == "deletion of a temperature log of Cold"
    assert living.book.temperature_logs == {log.id: log}
    assert (
        "not in the season"
        in refused(living, lambda: living.do(actions.temperature_logs.delete, "gone")).message
    )


def test_readings_that_lie_ahead_are_refused(living: Season) -> None:
    ahead = TIMES + 3 * 86_400
    refusal = refused(
        living, lambda: living.do(actions.temperature_logs.add, COLD, "f", "", ahead, WARM)
    )
    assert (refusal.field, "still to come" in refusal.message) == ("series", True)


@pytest.mark.parametrize("celsius", [np.full(TIMES.size, 99.0), np.full(TIMES.size, np.nan)])
def test_temperatures_that_cannot_be_are_refused(living: Season, celsius: np.ndarray) -> None:
    refusal = refused(
        living, lambda: living.do(actions.temperature_logs.add, COLD, "f", "", TIMES, celsius)
    )
    assert refusal.field == "series"


def test_the_same_readings_are_not_taken_twice(living: Season) -> None:
    living.do(actions.temperature_logs.add, COLD, "fridge.csv", "", TIMES, WARM)
    again = refused(
        living, lambda: living.do(actions.temperature_logs.add, COLD, "copy.csv", "", TIMES, WARM)
    )
    assert "Cold has these readings already" in again.message
    living.do(actions.temperature_logs.add, SHELF, "fridge.csv", "", TIMES, WARM)


def test_a_place_that_is_gone_is_refused(living: Season) -> None:
    refusal = refused(
        living, lambda: living.do(actions.temperature_logs.add, "gone", "f", "", TIMES, WARM)
    )
    assert refusal.field == "place_id"
