"""What is said of rows of trees: what they are, what is to come of them, and when to walk them."""

import math
from datetime import date, timedelta

from ripenroom.records.batch import FEELS
from ripenroom.records.orchard import Cultivar, Walk
from ripenroom.season.orchard.orchard_types import (
    Z_80,
    FrostForecast,
    FruitRange,
    OrchardForecast,
    RowFacts,
    RowForecast,
)
from ripenroom.season.plans.plan import roughly
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import feel_names
from ripenroom.wording.reader import Reader

_USUALLY_AHEAD = timedelta(days=3)
"""How far ahead picks are told where no market day says it."""

_WORTH_TELLING = 0.5
"""Fewer fruit than this are none."""

_WORTH_SAYING = 0.005
_SHOWN_CHANCE, _MAY_HAVE_COME = 0.01, 0.1


def about_words(line: RowFacts, reader: Reader) -> str:
    """``"Late pawpaws · 7 trees"``."""
    season = reader.season
    cultivar = season.book.cultivars.get(line.row.cultivar_id or "")
    parts = [cultivar.name if cultivar else ""]
    if line.row.trees is not None:
        trees = tr_n("{n} tree", "{n} trees", line.row.trees)
        parts.append(trees.format(n=line.row.trees))
    return " · ".join(part for part in parts if part)


def counted_words(line: RowFacts, words: Formats) -> str:
    """Fruit that hung when they were counted."""
    return "" if line.counted is None else words.number(roughly(line.counted.fruit))


def by_day(reader: Reader) -> date:
    """The day by which picks are told: the eve of the next market day, and some days at least."""
    season = reader.season
    today = season.state.today
    ahead = [
        reader.words.local(day.starts_at).date() - timedelta(days=1)
        for day in season.book.market_days.values()
        if day.starts_at > season.now()
    ]
    return min((day for day in ahead if day > today), default=today + _USUALLY_AHEAD)


def count_words(count: FruitRange, words: Formats) -> str:
    """``"about 40 (25–60)"``."""
    return tr("about {count} ({range})").format(
        count=words.number(roughly(count.mid)),
        range=words.number_range(roughly(count.low), roughly(count.high)),
    )


def to_pick_words(line: RowFacts, forecast: RowForecast | None, reader: Reader) -> str:
    """``"about 40 (25–60) by Fri 2 Oct"``, and of what feel; why nothing where that is so."""
    if forecast is None:
        if line.crop is None:
            return tr("enter its cultivar")
        return tr("count its fruit") if line.counted is None else ""
    by = by_day(reader)
    found = forecast.by(by)
    if found.high < _WORTH_TELLING:
        return tr("nothing by {day}").format(day=reader.words.day(by))
    crop = reader.season.crops.get(line.crop or "")
    return tr("{count}\nby {day}, {feel}").format(
        count=count_words(found, reader.words),
        day=reader.words.day(by),
        feel=feel_names(crop)[FEELS.index("slight give")],
    )


def walk_words(line: RowFacts, forecast: OrchardForecast | None, reader: Reader) -> str:
    """Whether to walk a row today and why, and when that was done last."""
    parts, of_row = [], forecast.of_row(line.row.id) if forecast else None
    if of_row is not None:
        parts.append(why_walk(of_row, reader))
    if line.walks:
        latest = tr("last {day}")
        parts.append(latest.format(day=reader.words.day(line.walks[-1].at)))
    return "\n".join(parts)


def next_walk(forecast: RowForecast, reader: Reader) -> date | None:
    """The day on which a row is worth its next walk; None where it is not.

    A row that was walked or picked over today is left for today.
    """
    if forecast.walk_on is None:
        return None
    season = reader.season
    visits = [w.at for w in season.book.walks.values() if w.row_id == forecast.row_id]
    visits += [b.picked_at for b in season.book.batches.values() if b.row_id == forecast.row_id]
    if not visits:
        return forecast.walk_on
    return max(forecast.walk_on, reader.words.local(max(visits)).date() + timedelta(days=1))


def is_due(forecast: RowForecast, reader: Reader) -> bool:
    """Whether a row is worth a walk today."""
    on = next_walk(forecast, reader)
    return on is not None and on <= reader.season.state.today


def every_words(forecast: RowForecast, words: Formats) -> str:
    """How often a row is worth a walk now, once it is picked over."""
    if math.isinf(forecast.walk_every_days):
        return ""
    every = max(1, round(forecast.walk_every_days))
    return tr_n(
        "Once picked over it is worth a walk every day.",
        "Once picked over it is worth a walk every {n} days.",
        every,
    )


def why_walk(forecast: RowForecast, reader: Reader) -> str:
    """What a walk of today gains: fruit that would get too soft or fall before the next one."""
    on = next_walk(forecast, reader)
    if on is None:
        return tr("not worth a walk now")
    if on > reader.season.state.today:
        return tr("on {day}").format(day=reader.words.day(on))
    saved = max(1, roughly(forecast.lost[_USUALLY_AHEAD.days].mid))
    return tr("today: {n} would be lost by {day}").format(
        n=reader.words.number(saved),
        day=reader.words.day(reader.season.state.today + _USUALLY_AHEAD),
    )


def first_to_walk(forecast: OrchardForecast, reader: Reader) -> list[RowForecast]:
    """The rows that are due, most worth first."""
    return [row for row in forecast.rows if is_due(row, reader)]


def next_to_walk(forecast: OrchardForecast, reader: Reader) -> tuple[RowForecast, date] | None:
    """The row that is due next, and when; None where none is."""
    ahead = [
        (on, number)
        for number, row in enumerate(forecast.rows)
        if (on := next_walk(row, reader)) is not None
    ]
    if not ahead:
        return None
    on, number = min(ahead)
    return forecast.rows[number], on


def frost_words(frost: FrostForecast | None, reader: Reader) -> str:
    """When the first frost comes, what a forecast night adds, and what it would do."""
    if frost is None:
        return ""
    words, today = reader.words, reader.season.state.today
    if frost.nights:
        return _came_words(frost, words)
    parts = []
    if frost.may_have_come >= _MAY_HAVE_COME:
        parts.append(
            tr(
                "The first frost may have come already ({chance}): under Weather, type how cold "
                "the last nights were."
            ).format(chance=words.share(frost.may_have_come))
        )
    soon = [
        (on, chance)
        for on, chance in zip(frost.days, frost.chance, strict=True)
        if on <= today + timedelta(days=7) and chance >= _SHOWN_CHANCE
    ]
    if soon:
        on, chance = max(soon, key=lambda pair: pair[1])
        parts.append(
            tr(
                "First frost: {chance} on the night to {day}, {week} within a week. Even a light "
                "one can bring all fruit down within days: pick what gives before it."
            ).format(
                chance=words.share(chance),
                day=words.day(on),
                week=words.share(frost.by(today + timedelta(days=7))),
            )
        )
    if frost.dated and frost.tenth_on is not None and frost.even_on is not None:
        parts.append(
            tr("First frost by {tenth} in one year of ten, by {even} in half of them.").format(
                tenth=words.day(frost.tenth_on), even=words.day(frost.even_on)
            )
        )
    return " ".join(parts)


def _came_words(frost: FrostForecast, words: Formats) -> str:
    """What frost did, of which night, and what to do while fruit falls and after it."""
    coldest = min(frost.nights, key=lambda night: night.min_c)
    said = (
        tr("There was frost on {day} ({cold}): fruit drops within days. Bring in what gives.")
        if frost.left[0] > 0.0
        else tr(
            "There was frost on {day} ({cold}): by now all fruit should be down. Where some still "
            "hangs, walk that row to correct its numbers."
        )
    )
    return said.format(day=words.day(coldest.on), cold=words.temperature(coldest.min_c))


def feel_words(walk: Walk, names: tuple[str, ...], words: Formats) -> str:
    """``"21 hard, 6 slight give, 3 gives · 4 on the ground · wind"``."""
    parts = []
    if walk.feel_counts is not None:
        parts.append(
            ", ".join(
                f"{words.number(count)} {name}"
                for count, name in zip(walk.feel_counts, names, strict=True)
                if count
            )
        )
    if walk.on_ground is not None:
        parts.append(tr("{n} on the ground").format(n=words.number(walk.on_ground)))
    parts.append(walk.note)
    return " · ".join(part for part in parts if part)


def row_words(line: RowFacts, forecast: RowForecast | None, reader: Reader) -> list[str]:
    """What is to be said of one row, sentence by sentence."""
    words, said = reader.words, []
    if line.counted is not None:
        counted = tr("Counted: {count} on its trees.")
        said.append(counted.format(count=count_words(line.counted.range, words)))
    if forecast is None:
        return said
    hanging = tr("Still on the trees: {count}.")
    said.append(hanging.format(count=count_words(forecast.hanging, words)))
    if forecast.frost_reaches.high >= _WORTH_TELLING:
        reached = tr("The first frost would find {count} of them.")
        said.append(reached.format(count=count_words(forecast.frost_reaches, words)))
    said += _by_feel(line, forecast, reader)
    said += [every] if (every := every_words(forecast, words)) else []
    if not forecast.by_heat:
        said.append(tr("Goes by the calendar: too few days since its bloom have weather."))
    elif forecast.by_months:
        said.append(
            tr("Goes by what is usual in each month: few days since its bloom have weather.")
        )
    else:
        said.append(tr("Goes by the warmth of the days since bloom."))
    said += [bloom] if (bloom := bloom_words(forecast, words)) else []
    said += spring_words(forecast, words)
    cultivar = reader.season.book.cultivars.get(line.row.cultivar_id or "")
    for lesson in reader.season.book.tree_lessons.values():
        named = cultivar is not None and lesson.crop == cultivar.crop
        if named and lesson.days_off is not None and _same_name(lesson.cultivar, cultivar):
            off = tr("{season}: forecasts of {what} were off by {n} days half of the time.")
            said.append(
                off.format(
                    season=lesson.taught_by,
                    what=lesson.cultivar or line.row.name,
                    n=words.number(lesson.days_off, 1),
                )
            )
    return said


def spring_words(forecast: RowForecast, words: Formats) -> list[str]:
    """What is published of spring's warmth and harvest, for crops that have it."""
    spring, said = forecast.spring, list[str]()
    if spring is not None and spring.first_pick is not None:
        first = tr(
            "Going by its spring (as in Michigan), picking starts on {day}, a week either way."
        )
        said.append(first.format(day=words.day(spring.first_pick)))
    if spring is not None and spring.growing_hours is not None:
        after = (
            tr(
                "{n} growing degree hours in the 30 days after bloom: many, so harvest comes early "
                "and fruit stays small."
            )
            if spring.is_warm
            else tr("{n} growing degree hours in the 30 days after bloom.")
        )
        said.append(after.format(n=words.number(spring.growing_hours)))
    return said


def bloom_words(forecast: RowForecast, words: Formats) -> str:
    """What a row's bloom was taken for where nobody noted it; or that the day hardly fits."""
    bloom = forecast.bloom
    if bloom.by == "noted":
        if not forecast.bloom_is_odd:
            return ""
        return tr(
            "Full bloom on {day} hardly fits what was felt: check that day (Edit row)."
        ).format(day=words.day(bloom.on))
    after = {
        "cultivar": tr("like other rows of its cultivar"),
        "crop": tr("like other rows of its crop"),
        "spring": tr("by how warm spring was"),
        "walk": tr("by its first walk or pick"),
        "season": tr("by the season’s first day"),
    }[bloom.by]
    return tr("No bloom entered: guessed as {day}, {days} days either way, {after}.").format(
        day=words.day(bloom.on), days=words.number(Z_80 * bloom.sd_days), after=after
    )


def _same_name(named: str | None, cultivar: Cultivar | None) -> bool:
    """Whether a lesson is about a cultivar, or about all of its crop."""
    if named is None or cultivar is None:
        return named is None
    return named.strip().casefold() == cultivar.name.strip().casefold()


def _by_feel(line: RowFacts, forecast: RowForecast, reader: Reader) -> list[str]:
    """For each feel what share comes good if picked now, and what a day's wait does to it."""
    if not forecast.by_feel:
        return []
    names, words = feel_names(reader.season.crops.get(line.crop or "")), reader.words
    said = [
        (
            tr("{feel}: {now} today, {later} tomorrow")
            if advice.lost < _WORTH_SAYING
            else tr("{feel}: {now} today, {later} tomorrow (waiting loses {lost})")
        ).format(
            feel=names[FEELS.index(advice.feel)],
            now=words.share(advice.now),
            later=words.share(advice.later),
            lost=words.share(advice.lost),
        )
        for advice in forecast.by_feel
    ]
    heading = tr("How many come good if picked:")
    return [heading, *(f"    {text}" for text in said)]
