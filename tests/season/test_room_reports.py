"""Logs of several probes in one step, and what they tell of a place."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.places import NewLog
from ripenroom.season.moments import to_hours
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, SHELF, UNUSED, YESTERDAY, entry, refused
from tests.season.writing import write

START = NOW - timedelta(days=10)
TIMES = int(START.timestamp()) + 600 * np.arange(6 * 24 * 9)


def test_several_probes_are_one_step(living: Season) -> None:
    before = living.book
    warm = np.full(TIMES.size, 9.0)
    new = [NewLog(COLD, "f.csv", "1", TIMES, warm), NewLog(SHELF, "f.csv", "2", TIMES, warm)]
    assert len(living.do(actions.places.add_logs, new)) == 2
    assert living.undo() == "temperature log of Cold, Shelf"
    assert living.book == before


def test_all_probes_or_none(living: Season) -> None:
    warm = np.full(TIMES.size, 9.0)
    new = [NewLog(COLD, "f.csv", "1", TIMES, warm), NewLog("gone", "f.csv", "2", TIMES, warm)]
    refused(living, lambda: living.do(actions.places.add_logs, new))


def test_a_log_moves_the_dates_of_fruit_that_waited_there(living: Season) -> None:
    picked = NOW - timedelta(days=8)
    living.do(actions.picks.add, entry(picked_at=picked, place_id=SHELF))
    before = living.projection().opens_h.mid[0]
    living.do(actions.places.add_log, SHELF, "shelf.csv", "", TIMES, np.full(TIMES.size, 18.0))
    after = living.projection().opens_h.mid[0]
    assert after < before - 12.0
    living.undo()
    assert living.projection().opens_h.mid[0] == before


def test_the_report_tells_what_the_dial_hides(living: Season) -> None:
    living.do(actions.picks.add, entry(picked_at=YESTERDAY))
    celsius = np.where(np.arange(TIMES.size) < 36, 8.0, 4.0)  # six hours, then steady
    living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, celsius)
    report = living.room_report(COLD)
    assert report is not None
    assert report.set_point_c == pytest.approx(3.0)
    assert report.logged_h == pytest.approx(9 * 24 - 1 / 6)
    assert report.mean_c == pytest.approx(4.0 + 4.0 * 6.0 / (9 * 24), abs=0.02)
    assert [report.low_c, report.high_c] == pytest.approx([4.0, 4.0])
    assert report.above_h == pytest.approx(6.0, abs=0.2)
    assert report.below_h == 0.0
    assert report.warmest is not None
    assert report.warmest.starts_h == pytest.approx(to_hours(START), abs=0.1)
    assert report.warmest.ends_h - report.warmest.starts_h == pytest.approx(6.0, abs=0.2)
    assert report.warmest.peak_c == pytest.approx(8.0)
    assert 1.05 < report.ageing["pawpaw"] < 1.6
    assert not report.gaps


def test_a_log_that_agrees_with_the_dial_ages_alike(living: Season) -> None:
    living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, np.full(TIMES.size, 3.0))
    report = living.room_report(COLD, "pear")
    assert report is not None
    assert report.ageing["pear"] == pytest.approx(1.0, abs=1e-6)
    assert report.warmest is None


def test_gaps_are_told_and_not_counted(living: Season) -> None:
    kept = np.r_[0:300, 500 : TIMES.size]
    living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES[kept], np.full(kept.size, 4.0))
    report = living.room_report(COLD)
    assert report is not None
    (gap,) = report.gaps
    assert list(gap) == pytest.approx([TIMES[299] / 3600.0, TIMES[500] / 3600.0])
    assert report.logged_h == pytest.approx(9 * 24 - 1 / 6 - (gap[1] - gap[0]))
    assert np.isnan(report.picture.low_c).any()
    assert np.nanmin(report.picture.low_c) == 4.0


def test_a_place_without_a_log_has_no_report(living: Season) -> None:
    assert living.room_report(UNUSED) is None


def test_a_log_that_cannot_be_read_is_not_written_down(living: Season) -> None:
    log = living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, np.full(TIMES.size, 9.0))
    damaged = Action("a slip", (replace(log, series=log.series[:-9]),))
    assert refused(living, lambda: write(living, damaged)).field == "series"
    elsewhere = Action("a slip", (replace(log, ends_at=log.ends_at + timedelta(hours=1)),))
    assert refused(living, lambda: write(living, elsewhere)).field == "ends_at"


def test_reports_are_kept_until_something_changes(living: Season) -> None:
    living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, np.full(TIMES.size, 6.0))
    first = living.room_report(COLD)
    assert living.room_report(COLD) is first
    living.do(actions.places.set_set_point, COLD, 6.0, START)
    second = living.room_report(COLD)
    assert second is not None
    assert second.set_point_c == pytest.approx(6.0)
