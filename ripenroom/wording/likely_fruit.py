"""What picks that are only likely may bring a market day, beside the numbers that count none."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ripenroom.season.plans.plan import roughly
from ripenroom.texts import tr
from ripenroom.wording.names import fruit_name

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedMarket
    from ripenroom.wording.formats import Formats
    from ripenroom.wording.reader import Reader


def more_likely_words(likely: float, words: "Formats") -> str:
    """``"about 30 more from likely picks"``, of so many fruit; empty of less than one."""
    more = roughly(round(likely))
    if not more:
        return ""
    return tr("about {count} more from likely picks").format(count=words.number(more))


def likely_at(markets: "Iterable[PlannedMarket]", reader: "Reader") -> str:
    """``"likely picks may bring more: about 17 avocados, 30 pawpaws"``, of one market day's crops;
    empty without any."""
    found = []
    for market in markets:
        if more := roughly(round(market.likely)):
            fruit = fruit_name(reader.season.crops, market.crop, more)
            said = tr("{count} {crop}").format(count=reader.words.number(more), crop=fruit)
            found.append(said)
    if not found:
        return ""
    return tr("likely picks may bring more: about {fruit}").format(fruit=", ".join(found))
