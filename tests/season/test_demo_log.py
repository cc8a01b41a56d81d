"""The invented thermometer: in the season's file, and in what the season says."""

import pytest

from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.season import Season


def test_the_old_fridge_runs_warmer_than_its_dial(practice: Season) -> None:
    (log,) = practice.book.temperature_logs.values()
    assert log.ends_at < practice.now()
    report = practice.room_report(log.place_id)
    assert report is not None
    assert report.mean_c == pytest.approx(report.set_point_c + 2.1, abs=0.3)
    assert 1.25 < report.ageing["avocado"] < 1.5
    assert report.warmest is not None
    assert report.warmest.peak_c > 12.0
    assert len(report.gaps) == 1


def test_without_the_log_its_fruit_is_further_from_ready(practice: Season) -> None:
    (log,) = practice.book.temperature_logs.values()
    there = practice.book.batches[
        next(m.batch_id for m in practice.book.moves.values() if m.place_id == log.place_id)
    ]
    line = practice.projection().line_of[there.id]
    opens_h = practice.projection().opens_h.mid[line]
    practice.do(actions.places.delete_log, log.id)
    assert practice.projection().opens_h.mid[line] > opens_h + 10.0
    assert to_hours(log.starts_at) < opens_h
