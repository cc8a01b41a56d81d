"""Days of weather in words, and how a file of them was read."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from ripenroom.exchange.weather_file import WeatherFound
from ripenroom.records.orchard import DayWeather, WeatherSource
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr, tr_n
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.wording.formats import Formats

_MOST_NAMED = 8


def degrees(line: TypedLine, words: Formats, field: str) -> float:
    """The temperature (C) typed in a line; raises ``Refusal`` of ``field`` for anything else."""
    value = words.parse_temperature_c(line.text())
    if value is None:
        raise Refusal(field, "Type a temperature here, not “{typed}”.", typed=line.text().strip())
    return value


def shown_degrees(value_c: float, words: Formats) -> str:
    return words.temperature(value_c).rpartition(" ")[0]


def source_words(source: WeatherSource) -> str:
    """Where a day's weather is from."""
    return {
        "read": tr("from a file"),
        "typed": tr("typed"),
        "filled": tr("filled in"),
        "forecast": tr("forecast"),
    }[source]


def day_words(day: DayWeather, words: Formats) -> str:
    span = words.temperature(day.min_c)
    if day.max_c is not None:
        span = tr("{low} to {high}").format(low=span, high=words.temperature(day.max_c))
    return f"{words.day(day.on)} · {span} · {source_words(day.source)}"


def known_words(days: list[DayWeather], words: Formats) -> str:
    """From when to when, how many of each source, and which stretches are missing."""
    if not days:
        return ""
    counts = Counter(day.source for day in days)
    sources: tuple[WeatherSource, ...] = ("read", "typed", "filled", "forecast")
    parts = [f"{words.number(counts[s])} {source_words(s)}" for s in sources if counts[s]]
    said = tr("{first} to {last}: {parts}.").format(
        first=words.full_day(days[0].on), last=words.full_day(days[-1].on), parts=", ".join(parts)
    )
    holes = [
        (before.on + timedelta(days=1), after.on - timedelta(days=1))
        for before, after in pairwise(days)
        if (after.on - before.on).days > 1
    ]
    if holes:
        spans = ", ".join(span_words(first, last, words) for first, last in holes[:4])
        said += " " + tr("Missing: {spans}.").format(spans=spans)
    return said


def span_words(first: date, last: date, words: Formats) -> str:
    return words.day(first) if first == last else f"{words.day(first)} – {words.day(last)}"


def found_words(found: WeatherFound, words: Formats) -> list[str]:
    """What was read, as what, and what is missing or left out."""
    days = found.days
    said = [
        tr_n("{n} day, {first} to {last}.", "{n} days, {first} to {last}.", len(days)).format(
            first=words.full_day(days[0].on),
            last=words.full_day(days[-1].on),
        ),
        tr("The first: {day}. The last: {other}.").format(
            day=day_words(days[0], words), other=day_words(days[-1], words)
        ),
    ]
    if found.through_the_day:
        said.append(tr("Several readings a day: the coldest and warmest of each day count."))
    if found.filled:
        filled = tr("Filled in by a straight line: {days}.")
        said.append(filled.format(days=_few_days(found.filled, words)))
    if found.open_gaps:
        spans = ", ".join(span_words(first, last, words) for first, last in found.open_gaps[:6])
        missing = tr("Missing: {spans}.")
        said.append(missing.format(spans=spans))
    if found.unsound:
        left_out = tr("Left out (part of a day, or warmest below coldest): {days}.")
        said.append(left_out.format(days=_few_days(found.unsound, words)))
    lines = sum(left.count for left in found.left_out)
    if lines:
        unread = tr("Lines or cells without a number: {n}.")
        said.append(unread.format(n=words.number(lines)))
    return said


def _few_days(days: Sequence[date], words: Formats) -> str:
    named = ", ".join(words.day(on) for on in days[:_MOST_NAMED])
    return f"{named}, …" if len(days) > _MOST_NAMED else named
