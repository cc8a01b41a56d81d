"""Costs in words."""

import pytest

from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason, PinCost
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.pin_cost import cost_words
from tests.window.queue.conftest import line


def cost(minor: float, *moved: str, fruit: float = 0.0) -> PinCost:
    return PinCost(5000.0, minor, fruit, tuple(line(key) for key in moved))


@pytest.mark.parametrize(
    ("what", "priced", "said"),
    [
        (cost(1420.0, fruit=8.6), True, "costs about $14.20 and 9 fruit"),
        (cost(1420.0, fruit=-3.0), True, "costs about $14.20"),
        (cost(1420.0, fruit=0.4), True, "costs about $14.20"),
        (cost(0.4), True, "costs nothing"),
        (cost(0.0), False, "costs nothing"),
        (cost(905.0), False, "costs 9 fruit"),
        (cost(49.0), False, "costs nothing"),
        (cost(100.0, "a"), True, "costs about $1.00; another batch changes too"),
        (cost(100.0, "a", "a", "b"), True, "costs about $1.00; 2 other batches change too"),
        (cost(100.0, ""), True, "costs about $1.00"),
    ],
)
def test_a_cost_is_told_in_money_or_fruit(
    words: Formats, what: PinCost, priced: bool, said: str
) -> None:
    assert cost_words(what, words, priced) == said


def test_a_pin_that_cannot_be_kept_costs_nothing_and_says_why(words: Formats) -> None:
    broken = (BrokenPin("pin", BrokenPinReason.MARKET_OVER),)
    said = cost_words(PinCost(0.0, 0.0, 0.0, (), broken), words, True)
    assert said == "cannot be kept: the market day is over"
