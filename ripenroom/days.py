"""Days and times as sentences name them: by the reader's language and locale.

Days and months are named in the language of our sentences, in which they stand: "past since Fr 2
Okt" is neither. Times of day are written as the reader's locale has them.
"""

from datetime import date, datetime
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_time

from ripenroom.texts import NO_LOCALE, language, locale_name, tr_in


@lru_cache(maxsize=8)
def known_locale(name: str) -> Locale:
    """The locale of a name such as ``"en_GB"``; plain English for one that nobody knows."""
    if name in NO_LOCALE:
        return Locale("en")
    try:
        return Locale.parse(name.partition(".")[0].replace("-", "_"))
    except (ValueError, UnknownLocaleError):
        return Locale("en")


def naming_locale(locale: Locale) -> Locale:
    """The locale that names days and months for a reader with a ``locale``."""
    return locale if locale.language == language() else known_locale(language())


_MONTH_FIRST = {
    "EEE d MMM": "EEE MMM d",
    "EEEE d MMMM y": "EEEE, MMMM d, y",
    "d MMM": "MMM d",
    "d MMM y": "MMM d, y",
}
"""Our patterns of CLDR, as they are written where the month goes first."""


def month_first(locale: Locale) -> bool:
    """Whether a reader of our sentences writes the month before the day, as in the United States.

    A language alone, without a country, does not say so.
    """
    if locale.territory is None or locale.language != language():
        return False
    return str(locale.date_formats["short"].pattern).startswith("M")


def day_pattern(pattern: str, locale: Locale) -> str:
    """One of our patterns of CLDR in the order of the reader's locale."""
    return _MONTH_FIRST.get(pattern, pattern) if month_first(locale) else pattern


def dated(day: date, pattern: str, reader: Locale) -> str:
    """A day by one of our patterns of CLDR; what goes first is as the reader's locale has it."""
    return _dated(day, day_pattern(pattern, reader), naming_locale(reader))


@lru_cache(maxsize=2_048)
def _dated(day: date, pattern: str, names: Locale) -> str:
    """Kept: a picture writes the same few days again whenever it is painted."""
    return format_date(day, pattern, names)


def day_with_weekday(day: date, reader: Locale) -> str:
    """``"Sat 26 Sep"``."""
    # "Fr. 2 Okt." at the end of a sentence would end it twice.
    return dated(day, tr_in("pattern of a short day", "EEE d MMM"), reader).replace(".", "")


def full_day(day: date, locale: str | None = None) -> str:
    """A day with its year: ``"26 Sep 2026"``; a moment is read in its own zone.

    ``locale`` is the reader's, where it is another than the process's.
    """
    reader = known_locale(locale_name() if locale is None else locale)
    pattern = day_pattern(tr_in("pattern of a full day", "d MMM y"), reader)
    return str(format_date(day, pattern, naming_locale(reader)))


def time_of_day(at: datetime, locale: str | None = None) -> str:
    """The time of day in the zone of the moment, as the reader's locale writes it."""
    name = locale_name() if locale is None else locale
    if name in NO_LOCALE:
        return at.strftime("%H:%M")  # as ISO 8601 has it
    return str(format_time(at.time(), "short", locale=known_locale(name)))


def full_moment(at: datetime) -> str:
    """Day with its year, and time: ``"26 Sep 2026, 14:00"``, in the zone of the moment."""
    return f"{full_day(at)}, {time_of_day(at)}"


def in_words(value: object) -> object:
    """A value to be filled into a sentence: days and moments in words, all else as it is."""
    if isinstance(value, datetime):
        return full_moment(value)
    return full_day(value) if isinstance(value, date) else value
