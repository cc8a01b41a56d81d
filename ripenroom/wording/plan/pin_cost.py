"""What a pin costs the plan, in words: in money or in fruit, and how many batches change for it."""

from typing import TYPE_CHECKING, Final

from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import broken_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PinCost

_LEAST_MINOR: Final = 0.5
"""Half of the smallest coin is nothing ..."""

_LEAST_FRUIT: Final = 0.5
"""... and so is half a fruit."""


def cost_words(cost: "PinCost", words: Formats, priced: bool) -> str:
    """``"costs about 14.20 EUR and 9 fruit; 2 other batches go otherwise"``.

    Where no fruit of the season is ``priced`` the cost is told in fruit alone.
    """
    if cost.broken_pins:
        return tr("cannot be kept: {reason}").format(
            reason=broken_words(cost.broken_pins[0].reason)
        )
    parts = [_money(cost, words) if priced else _fruit(cost.cost_minor, words)]
    others = len({line.batch_id for line in cost.moves if line.batch_id})
    if others:
        text = tr_n("another batch changes too", "{n} other batches change too", others)
        parts.append(text)
    return "; ".join(parts)


def _money(cost: "PinCost", words: Formats) -> str:
    if cost.cost_minor < _LEAST_MINOR:
        return tr("costs nothing")
    money = words.money(round(cost.cost_minor))
    if cost.fruit < _LEAST_FRUIT:
        return tr("costs about {money}").format(money=money)
    return tr("costs about {money} and {count} fruit").format(
        money=money, count=words.number(cost.fruit)
    )


def _fruit(minor: float, words: Formats) -> str:
    from ripenroom.season.plans.demand import UNPRICED_MINOR

    fruit = minor / UNPRICED_MINOR
    if fruit < _LEAST_FRUIT:
        return tr("costs nothing")
    return tr("costs {count} fruit").format(count=words.number(fruit))
