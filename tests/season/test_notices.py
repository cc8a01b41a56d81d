"""What is told today: from when to when, and in which order."""

from collections.abc import Mapping
from datetime import UTC, timedelta
from typing import Any

import numpy as np
import pytest

from ripenroom.records.batch import Move
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import NoticeKind, notices
from ripenroom.season.projection import EndCause, FruitState, Projection, Ranged, Supply
from ripenroom.season.season import Season
from tests.season.farm import NOW, batch_and_move, book_of, farm_records, market

NOW_H = to_hours(NOW)
CROPS = shipped_profiles()
NONE = float("nan")


def made(**given: float) -> Projection:
    """The projection of one batch; dates in hours from now."""
    facts: Mapping[str, float] = {
        "state": FruitState.HOLDING,
        "opens": 200.0,
        "closes": 300.0,
        "chilled": NONE,
        "left": 20.0,
        "uneven": False,
        "gate": NONE,
        "again": NONE,
        **given,
    }

    def dates(hours: float) -> Ranged:
        at = np.array([NOW_H + hours])
        return Ranged(at - 10.0, at, at + 10.0)

    return Projection(
        at_h=NOW_H,
        batch_ids=("batch 1",),
        line_of={"batch 1": 0},
        left=np.array([facts["left"]]),
        first_ready_h=dates(facts["opens"] - 12.0),
        opens_h=dates(facts["opens"]),
        best_h=dates((facts["opens"] + facts["closes"]) / 2.0),
        closes_h=dates(facts["closes"]),
        end_cause=np.array([EndCause.TOO_SOFT], dtype=np.int8),
        ready_at_best=Ranged(np.array([0.5]), np.array([0.8]), np.array([0.9])),
        wont_ripen=np.array([0.1]),
        chilling_used=np.array([0.4]),
        chilling_out_h=np.array([NOW_H + facts["chilled"]]),
        frozen_h=np.array([np.nan]),
        state=np.array([int(facts["state"])], dtype=np.int8),
        uneven=np.array([bool(facts["uneven"])]),
        gate_opens_h=np.array([facts["gate"]]),
        gate_done=np.array([0.25]),
        gate_times=np.array([1.0]),
        squeeze_again_h=np.array([facts["again"]]),
    )


def kinds(projection: Projection) -> list[NoticeKind]:
    return [
        n.kind for n in notices(book_of(*farm_records(), *batch_and_move(1)), CROPS, projection, ())
    ]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({}, []),
        ({"opens": 47.9}, [NoticeKind.OPENS]),
        ({"opens": 48.1}, []),
        ({"state": FruitState.READY, "opens": -5.0, "closes": 47.9}, [NoticeKind.CLOSES]),
        ({"state": FruitState.READY, "opens": -5.0, "closes": 48.1}, []),
        ({"state": FruitState.PAST, "opens": -50.0, "closes": -1.0}, [NoticeKind.PAST]),
        ({"state": FruitState.WONT_RIPEN}, [NoticeKind.WONT_RIPEN]),
        ({"state": FruitState.WONT_RIPEN, "again": NOW_H}, [NoticeKind.MAY_NOT_RIPEN]),
        ({"state": FruitState.WONT_RIPEN, "again": np.inf}, [NoticeKind.MAY_NOT_RIPEN]),
        ({"chilled": 167.0, "closes": 167.0, "opens": NONE}, [NoticeKind.CHILLING]),
        ({"chilled": 169.0, "closes": 169.0, "opens": NONE}, []),
        ({"chilled": 167.0, "state": FruitState.READY, "opens": -5.0}, []),
        ({"uneven": True}, [NoticeKind.UNEVEN]),
        (
            {"uneven": True, "state": FruitState.PAST, "closes": -1.0, "opens": -1.0},
            [NoticeKind.PAST],
        ),
        ({"uneven": True, "opens": 10.0}, [NoticeKind.OPENS, NoticeKind.UNEVEN]),
        ({"opens": 10.0, "left": 0.0}, []),
        ({"state": FruitState.PAST, "closes": -1.0, "left": 0.0}, []),
    ],
)
def test_a_batch_is_told_of_in_its_time(given: dict[str, Any], expected: list[NoticeKind]) -> None:
    assert kinds(made(**given)) == expected


def test_a_notice_carries_what_its_words_need() -> None:
    (told,) = notices(book_of(*farm_records(), *batch_and_move(1)), CROPS, made(opens=10.0), ())
    assert (told.batch_id, told.when_h) == ("batch 1", NOW_H + 10.0)
    assert told.values == {"left": 20.0, "share": 0.8, "used": 0.4, "wont_ripen": 0.1}


@pytest.mark.parametrize(
    ("hours", "left", "told"),
    [(0.0, 20.0, 0), (1.0, 20.0, 1), (47.9, 20.0, 1), (48.1, 20.0, 0), (1.0, 0.0, 0)],
)
def test_pulls_of_the_next_two_days(hours: float, left: float, told: int) -> None:
    at = NOW + timedelta(hours=hours)
    pull = Move(id="pull", batch_id="batch 1", at=at.astimezone(UTC), place_id="room")
    found = notices(book_of(*farm_records(), *batch_and_move(1), pull), CROPS, made(left=left), ())
    assert [n.kind for n in found] == [NoticeKind.PULL] * told


def test_a_pull_of_a_batch_that_has_no_line_is_left_out() -> None:
    batch, move = batch_and_move(2, crop="medlar")
    pull = Move(id="pull", batch_id=batch.id, at=NOW + timedelta(hours=1), place_id="room")
    assert (
        notices(book_of(*farm_records(), *batch_and_move(1), batch, move, pull), CROPS, made(), ())
        == ()
    )


@pytest.mark.parametrize(
    ("days", "wanted", "ready", "expected"),
    [
        (3.0, 100, 74.9, [NoticeKind.SHORTAGE]),
        (3.0, 100, 75.1, []),
        (3.0, 100, 149.9, []),
        (3.0, 100, 150.1, [NoticeKind.GLUT]),
        (7.1, 100, 0.0, []),
        (-0.1, 100, 0.0, []),
        (0.0, 100, 0.0, [NoticeKind.SHORTAGE]),
        (3.0, 0, 50.0, []),
    ],
)
def test_shortage_and_glut_of_the_next_week(
    days: float, wanted: int, ready: float, expected: list[NoticeKind]
) -> None:
    day, _ = market(days, {})
    supply = Supply(day.id, "pawpaw", wanted, ready, ready / 2.0, ready * 2.0)
    found = notices(book_of(*farm_records(), *batch_and_move(1), day), CROPS, made(), [supply])
    assert [n.kind for n in found] == expected
    for told in found:
        assert (told.market_day_id, told.crop, told.when_h) == (day.id, "pawpaw", NOW_H + days * 24)
        assert told.values["low"] == ready / 2.0


def test_the_most_urgent_comes_first_then_the_soonest(practice: Season) -> None:
    found = practice.notices()
    order = list(NoticeKind)
    ranks = [order.index(n.kind) for n in found]
    assert ranks == sorted(ranks)
    assert len(set(ranks)) > 4
    for kind in NoticeKind:
        times = [n.when_h for n in found if n.kind == kind and n.when_h is not None]
        assert times == sorted(times)
