"""A day or a time of day as people type it: ``12/5``, ``5 Dec``, ``sat``, ``tomorrow``, ``9 pm``.

Nothing here knows a window: which names and which order a language has comes as :class:`DayWords`.
"""

import re
import unicodedata
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Final, Literal

Order = Literal["dmy", "mdy", "ymd"]
"""In which order a language writes day, month and year in figures."""

Lean = Literal["ahead", "back", "near"]
"""Which of several days a short text means: the next one, the last one, or the nearest."""

_OTHER_SIDE = timedelta(days=60)
"""A date without a year is that of this season: leaning back, one that lies two months ahead is
still ahead, so that a slip is seen and not taken for last year. The other way round the same."""

_TOKEN = re.compile(r"\d+|[^\W\d_]+")
_STEP = re.compile(r"([+-])\s*(\d{1,3})")
_TIME = re.compile(r"(\d{1,2})(?:[:.h]?(\d{2}))?")
_LETTERS_OF_A_WEEKDAY: Final = 2
_LETTERS_OF_A_WORD: Final = 3


@dataclass(frozen=True, slots=True)
class DayWords:
    """Names of a language, folded by :func:`folded`.

    ``months`` gives 1 to 12, ``weekdays`` 0 (Monday) to 6, ``steps`` days from today
    (``"tomorrow": 1``). ``next_words`` and ``last_words`` stand before a weekday, ``fillers`` mean
    nothing. ``mornings`` and ``afternoons`` follow an hour.
    """

    order: Order
    months: Mapping[str, int]
    weekdays: Mapping[str, int]
    steps: Mapping[str, int]
    next_words: frozenset[str]
    last_words: frozenset[str]
    fillers: frozenset[str]
    mornings: frozenset[str]
    afternoons: frozenset[str]


def folded(text: str) -> str:
    """Small letters without accents, for comparing what is typed with a name."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).strip()


def read_day(
    text: str, today: date, lean: Lean, words: DayWords, *, heed_weekday: bool = True
) -> date | None:
    """The day that a text means on ``today``, or None where it is none.

    A day of the week beside a date has to be that date's, unless it is not to be heeded: of
    several days that a text can mean it says which.
    """
    text = folded(text)
    step = _STEP.fullmatch(text)
    try:
        if step is not None:
            return today + timedelta(days=int(step[1] + step[2]))
        tokens = [token for token in _TOKEN.findall(text) if token not in words.fillers]
        return _of_tokens(tokens, text, today, lean, words, heed_weekday)
    except (ValueError, OverflowError):
        return None  # there is no 31 November, and no year 0


def _of_tokens(
    tokens: list[str], text: str, today: date, lean: Lean, words: DayWords, heed_weekday: bool
) -> date | None:
    numbers = [token for token in tokens if token.isdecimal()]
    names = [token for token in tokens if not token.isdecimal()]
    if not numbers:
        return _named_day(names, " ".join(tokens), today, lean, words)
    if len(numbers) > 3 or re.search(r"\d\s*:\s*\d", text):
        return None  # that is a time of day
    months = [_by_prefix(name, words.months, _LETTERS_OF_A_WORD) for name in names]
    weekdays = [_by_prefix(name, words.weekdays, _LETTERS_OF_A_WEEKDAY) for name in names]
    of_month = [n for n, found in enumerate(months) if found is not None]
    if len(of_month) > 1:
        # "mar 2 mai": of two months the first that is a weekday as well is that weekday.
        both = next((n for n in of_month if weekdays[n] is not None), None)
        of_month = [n for n in of_month if n != both]
    others = [found for n, found in enumerate(weekdays) if n not in of_month]
    if len(of_month) > 1 or None in others:
        return None
    month = months[of_month[0]] if of_month else None
    said = set(others) if heed_weekday else set()
    if len(said) > 1:
        return None
    fits = _only_on(said)
    if month is not None:
        return _in_month(numbers, month, today, lean, fits)
    return _in_figures(numbers, today, lean, words.order, fits)


Fits = Callable[[date], bool]
"""Whether a day can be the one that is meant, by the day of the week beside it."""


def _only_on(weekdays: Collection[int | None]) -> Fits:
    return lambda day: not weekdays or day.weekday() in weekdays


def _named_day(
    names: list[str], together: str, today: date, lean: Lean, words: DayWords
) -> date | None:
    step = _by_prefix(together, words.steps, _LETTERS_OF_A_WORD)
    if step is not None:
        return today + timedelta(days=step)
    if len(names) == 2 and names[0] in words.next_words | words.last_words:
        after = names[0] in words.next_words
        # "Next" and "last" leave today out, whatever day it is.
        from_day = today + timedelta(days=1 if after else -1)
        return _weekday(names[1:], from_day, "ahead" if after else "back", words)
    return _weekday(names, today, lean, words)


def _weekday(names: list[str], today: date, lean: Lean, words: DayWords) -> date | None:
    if len(names) != 1:
        return None
    weekday = _by_prefix(names[0], words.weekdays, _LETTERS_OF_A_WEEKDAY)
    if weekday is None:
        return None
    ahead = (weekday - today.weekday()) % 7
    if ahead and (lean == "back" or (lean == "near" and ahead > 3)):
        ahead -= 7
    return today + timedelta(days=ahead)


def _in_month(numbers: list[str], month: int, today: date, lean: Lean, fits: Fits) -> date | None:
    if len(numbers) > 2:
        return None
    if len(numbers) == 1:
        return _of_season(int(numbers[0]), month, today, lean, fits)
    day, year = sorted(numbers, key=len) if len(numbers[0]) > 2 else numbers
    return _if_fits(date(_full_year(year), month, int(day)), fits)


def _in_figures(
    numbers: list[str], today: date, lean: Lean, order: Order, fits: Fits
) -> date | None:
    if len(numbers) == 1:
        return _of_month(int(numbers[0]), today, lean, fits)
    if len(numbers) == 3:
        if len(numbers[0]) == 4:
            order = "ymd"
        parts = dict(zip(order, numbers, strict=True))
        month, day = _month_and_day(int(parts["m"]), int(parts["d"]))
        return _if_fits(date(_full_year(parts["y"]), month, day), fits)
    first, second = int(numbers[0]), int(numbers[1])
    month, day = (second, first) if order == "dmy" else (first, second)
    month, day = _month_and_day(month, day)
    return _of_season(day, month, today, lean, fits)


def _if_fits(day: date, fits: Fits) -> date | None:
    return day if fits(day) else None


def _month_and_day(month: int, day: int) -> tuple[int, int]:
    """The other way round where only that can be: ``25/12`` is Christmas everywhere."""
    return (day, month) if month > 12 >= day else (month, day)


def _of_month(day: int, today: date, lean: Lean, fits: Fits) -> date | None:
    """The day of that number in this month or the next ones on either side."""
    about = today.year * 12 + today.month - 1
    months = (divmod(about + n, 12) for n in range(-2, 3))
    days = _existing((year, month + 1, day) for year, month in months)
    return _chosen(list(filter(fits, days)), today, lean)


def _of_season(day: int, month: int, today: date, lean: Lean, fits: Fits) -> date | None:
    """The day of that name in this season; another year's is not meant by a day of the week."""
    shift = {"ahead": _OTHER_SIDE, "back": -_OTHER_SIDE, "near": timedelta()}[lean]
    years = range(today.year - 4, today.year + 5)  # one of them has a 29 February
    found = _chosen(_existing((year, month, day) for year in years), today - shift, lean)
    return None if found is None else _if_fits(found, fits)


def _chosen(days: list[date], today: date, lean: Lean) -> date | None:
    if lean == "ahead":
        days = [day for day in days if day >= today]
    elif lean == "back":
        days = [day for day in days if day <= today]
    return min(days, key=lambda day: abs(day - today), default=None)


def _existing(parts: Iterable[tuple[int, int, int]]) -> list[date]:
    days = []
    for year, month, day in parts:
        try:
            days.append(date(year, month, day))
        except ValueError:
            continue  # this month is shorter
    return days


def _full_year(typed: str) -> int:
    return int(typed) if len(typed) > 2 else 2000 + int(typed)


def _by_prefix(typed: str, names: Mapping[str, int], letters: int) -> int | None:
    """What the only name means that is typed or begun; a name in full goes before a longer one."""
    if typed in names:
        return names[typed]
    if len(typed) < letters:
        return None
    found = {value for name, value in names.items() if name.startswith(typed)}
    return found.pop() if len(found) == 1 else None


def read_time(text: str, words: DayWords) -> time | None:
    """The time of day that a text means: ``9``, ``9:30``, ``930``, ``9 pm``; else None."""
    text = folded(text)
    parts = re.fullmatch(r"([\d:.h\s]*\d)\s*h?\s*(.*)", text)
    if parts is None:
        return None
    figures = _TIME.fullmatch(re.sub(r"\s+", "", parts[1]))
    half = re.sub(r"[\s.]+", "", parts[2])
    if figures is None or (half and half not in words.mornings | words.afternoons):
        return None
    hour, minute = int(figures[1]), int(figures[2] or 0)
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half in words.afternoons else 0)
    return time(hour, minute) if hour < 24 and minute < 60 else None
