"""How much of their chilling allowance fruit of a plan have used."""

import numpy as np
import pytest

from ripenroom.planning.problem import NO_WANT
from ripenroom.records.batch import Move
from ripenroom.season.advice.set_point_trials import ChillingAtSale
from ripenroom.season.advice.shared_itineraries import paid_ground
from ripenroom.season.moments import from_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.season.advice.test_set_points import CROPS, ZONE, farm
from tests.season.farm import NOW, nothing_more


def test_it_is_what_the_clocks_of_the_same_journey_say() -> None:
    book = farm(2.0, 20.0, nothing_more(), days_ahead=20.0)
    laid = paid_ground(SeasonState(book, CROPS, NOW, ZONE))
    ways = laid.problem.ways
    projector = Projector(CROPS, ZONE)
    projection = projector.projection(projector.outlook(book, NOW), NOW)
    chilled = ChillingAtSale(projector.constants, projection, NOW, ZONE)
    sold_h = float(laid.problem.wants.start_h[0])
    moved = [way for way in np.flatnonzero(ways.want != NO_WANT) if ways.pull[way] >= 0]
    assert moved
    for way in moved:
        crates = np.zeros(ways.size)
        crates[way] = 1.0
        pulled = Move(
            id="pull",
            batch_id="batch 1",
            at=from_hours(float(laid.evening_h[ways.pull[way]]), ZONE),
            place_id=laid.lines.place_ids[ways.place[way]],
        )
        outlook = projector.outlook(book.with_changes([pulled]), NOW)
        exact = float(outlook.limits.chilling.used.at(np.array([[sold_h]]))[0, 0])
        # Pulp lags behind the air for some hours after each move.
        assert chilled.mean_used(laid, crates, book) == pytest.approx(exact, abs=0.02)
    assert chilled.mean_used(laid, np.zeros(ways.size), book) == 0.0


def test_crates_that_are_not_sold_do_not_count() -> None:
    book = farm(2.0, 20.0, nothing_more(), days_ahead=20.0)
    laid = paid_ground(SeasonState(book, CROPS, NOW, ZONE))
    ways = laid.problem.ways
    projector = Projector(CROPS, ZONE)
    projection = projector.projection(projector.outlook(book, NOW), NOW)
    chilled = ChillingAtSale(projector.constants, projection, NOW, ZONE)
    left = np.where(ways.want == NO_WANT, 5.0, 0.0)
    assert chilled.mean_used(laid, left, book) == 0.0
    sold = np.where(ways.want != NO_WANT, 1.0, 0.0)
    assert chilled.mean_used(laid, left + sold, book) == chilled.mean_used(laid, sold, book) > 0.0
