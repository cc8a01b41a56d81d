"""What it costs to decide otherwise than the plan, in words."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.window.wording import Wording

if TYPE_CHECKING:
    from ripenroom.season.replanner import PinCost

_LEAST_SHARE = 0.5
"""Half of the smallest coin, and half a fruit, are nothing."""


def cost_words(cost: "PinCost", words: Wording) -> str:
    """``"costs 14.20 EUR and 9 fruit"``; money where fruit has prices, else fruit alone."""
    money = cost.cost_minor >= _LEAST_SHARE
    if not money:
        return QCoreApplication.translate("Queue", "costs nothing")
    return QCoreApplication.translate("Queue", "costs {money}").format(
        money=words.money(round(cost.cost_minor))
    )
