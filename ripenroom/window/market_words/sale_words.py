"""What became of fruit on a market day that is over, in words."""

from PySide6.QtCore import QCoreApplication

from ripenroom.window.market_words.market_lines import Sale
from ripenroom.window.wording import Wording


def sale_words(sale: Sale, words: Wording) -> list[str]:
    """``["brought 38", "sold 30", "thrown 2, back 6"]``; what nobody said is left out."""
    if sale == Sale(None, 0, 0):
        return [QCoreApplication.translate("Balance", "none brought")]
    parts = []
    if sale.brought is not None:
        parts.append(
            QCoreApplication.translate("Balance", "brought {count}").format(
                count=words.number(sale.brought)
            )
        )
    parts.append(
        QCoreApplication.translate("Balance", "sold {count}").format(count=words.number(sale.sold))
    )
    rest = []
    if sale.thrown:
        rest.append(
            QCoreApplication.translate("Balance", "thrown {count}").format(
                count=words.number(sale.thrown)
            )
        )
    if sale.came_back:
        rest.append(
            QCoreApplication.translate("Balance", "back {count}").format(
                count=words.number(sale.came_back)
            )
        )
    return [*parts, ", ".join(rest)] if rest else parts
