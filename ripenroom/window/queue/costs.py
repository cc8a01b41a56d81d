"""What it costs to decide otherwise than the plan, in words."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QCoreApplication

from ripenroom.window.planning.plan_state import broken_words
from ripenroom.window.wording import Wording

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import PinCost

_LEAST_MINOR: Final = 0.5
"""Half of the smallest coin is nothing ..."""

_LEAST_FRUIT: Final = 0.5
"""... and so is half a fruit."""


def cost_words(cost: "PinCost", words: Wording, priced: bool) -> str:
    """``"costs about 14.20 EUR and 9 fruit; 2 other batches go otherwise"``.

    Where no fruit of the season is ``priced`` the cost is told in fruit alone.
    """
    if cost.broken_pins:
        return QCoreApplication.translate("Queue", "cannot be kept: {reason}").format(
            reason=broken_words(cost.broken_pins[0].reason)
        )
    parts = [_money(cost, words) if priced else _fruit(cost.cost_minor, words)]
    others = len({line.batch_id for line in cost.moves if line.batch_id})
    if others == 1:
        parts.append(QCoreApplication.translate("Queue", "another batch goes otherwise"))
    elif others:
        parts.append(
            QCoreApplication.translate("Queue", "{count} other batches go otherwise").format(
                count=words.number(others)
            )
        )
    return "; ".join(parts)


def _money(cost: "PinCost", words: Wording) -> str:
    if cost.cost_minor < _LEAST_MINOR:
        return QCoreApplication.translate("Queue", "costs nothing")
    money = words.money(round(cost.cost_minor))
    if cost.fruit < _LEAST_FRUIT:
        return QCoreApplication.translate("Queue", "costs about {money}").format(money=money)
    return QCoreApplication.translate("Queue", "costs about {money} and {count} fruit").format(
        money=money, count=words.number(cost.fruit)
    )


def _fruit(minor: float, words: Wording) -> str:
    from ripenroom.season.plans.wants import UNPRICED_MINOR

    fruit = minor / UNPRICED_MINOR
    if fruit < _LEAST_FRUIT:
        return QCoreApplication.translate("Queue", "costs nothing")
    return QCoreApplication.translate("Queue", "costs {count} fruit").format(
        count=words.number(fruit)
    )
