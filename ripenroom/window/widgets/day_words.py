"""What days are called, and in which order they are written, in the language of a locale."""

from collections.abc import Sequence
from datetime import date
from functools import lru_cache

from PySide6.QtCore import QLocale

from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.texts import language, tr
from ripenroom.window.widgets.typed_day import DayWords, Order, folded
from ripenroom.wording.formats import Formats

_FORMATS = (QLocale.FormatType.LongFormat, QLocale.FormatType.ShortFormat)
_ENGLISH = QLocale(QLocale.Language.English)


def day_words(locale: QLocale) -> DayWords:
    """Names of the language that the window speaks, and those of the locale and English ones beside
    them; the order is the locale's.

    Where a language uses another one's name for something else, its own meaning holds, first that
    of the window's.
    """
    return _day_words(locale.name(), language())


@lru_cache(maxsize=8)
def _day_words(name: str, spoken: str) -> DayWords:
    locales = (_ENGLISH, QLocale(name), QLocale(spoken))
    return DayWords(
        order=_order(QLocale(name)),
        months={
            _name(text): month
            for locale in locales
            for how in _FORMATS
            for month in range(1, 13)
            for text in (locale.monthName(month, how), locale.standaloneMonthName(month, how))
        },
        weekdays={
            _name(text): day - 1
            for locale in locales
            for how in _FORMATS
            for day in range(1, 8)
            for text in (locale.dayName(day, how), locale.standaloneDayName(day, how))
        },
        steps={
            _name(tr("yesterday")): -1,
            _name(tr("today")): 0,
            _name(tr("tomorrow")): 1,
        },
        next_words=_listed(tr("next coming")),
        last_words=_listed(tr("last past")),
        fillers=_listed(tr("on the of this st nd rd th")),
        mornings=frozenset({"am", "a", _half(locales[1].amText())}),
        afternoons=frozenset({"pm", "p", _half(locales[1].pmText())}),
    )


def order_name(order: DateOrder) -> str:
    """A date order in words."""
    return {
        DateOrder.YEAR_MONTH_DAY: tr("year, month, day"),
        DateOrder.DAY_MONTH_YEAR: tr("day, month, year"),
        DateOrder.MONTH_DAY_YEAR: tr("month, day, year"),
    }[order]


def order_choices(
    orders: Sequence[DateOrder], days: Sequence[date], words: Formats
) -> list[tuple[object, str]]:
    """Date orders to choose from, each with what a date of the file is by it (``days``, as far as
    there are any): ``"day, month, year: 3 Apr 2026"``."""
    named = [order_name(order) for order in orders]
    if days:
        text = tr("{order}: {day}")
        named = [
            text.format(order=name, day=words.full_day(day))
            for name, day in zip(named, days, strict=True)
        ]
    return list(zip(orders, named, strict=True))


def which_day(days: Sequence[date], words: Formats) -> str:
    """Asks which of these days a date of a file is: ``"Is the first date that is not clear 3 Apr
    2026 or 4 Mar 2026?"``."""
    said = tr(" or ").join(words.full_day(day) for day in days)
    return tr("The file does not say. Is a date in it {days}?").format(days=said)


def _order(locale: QLocale) -> Order:
    pattern = locale.dateFormat(QLocale.FormatType.ShortFormat)
    year, month, day = (pattern.find(letter) for letter in "yMd")
    if 0 <= year < min(month, day):
        return "ymd"
    return "mdy" if month < day else "dmy"


def _name(text: str) -> str:
    return folded(text).rstrip(".")


def _half(text: str) -> str:
    """Half of the day as it is compared: ``"a. m."`` is ``am``."""
    return "".join(letter for letter in folded(text) if letter.isalnum())


def _listed(text: str) -> frozenset[str]:
    return frozenset(folded(text).split())
