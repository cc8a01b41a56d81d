"""Checks in words: what squeezing some fruit of a batch is for, and what was learned by it."""

import math

from ripenroom.records.check import Check
from ripenroom.records.crop.crop_names import within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.advice.advice import WARM_C, CheckDesign, DateKind
from ripenroom.season.date_shifts import DateShift, NextDate
from ripenroom.season.learned import CheckFit, LearnedLife, LearnedRate, LearnedShare
from ripenroom.season.season import Season
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name, feel_names, group_name


def design_words(design: CheckDesign | None, squeezed: int, words: Formats, asked: int = 0) -> str:
    """How many fruit to squeeze, and what those that were squeezed already tell.

    ``asked``: so many the plan wants squeezed, as what it does hangs on them, also where the dates
    of the batch are known well enough.
    """
    if asked and (design is None or design.enough is None):
        return _asked_words(squeezed, asked)
    if design is None:
        return tr(
            "A check changes no date of this batch any more. It still shows how fast such fruit "
            "softens."
        )
    date = _date_words(design.date, words)
    now = _days(design.within_days[min(squeezed, len(design.within_days) - 1)], words)
    if design.enough is None:
        return tr(
            "A squeeze now adds little: you know {date}, give or take {days}. Check again in a "
            "few days."
        ).format(days=_days(design.within_days[0], words), date=date)
    if squeezed >= design.enough:
        return tr("{n} fruit are enough: you know {date}, give or take {days}.").format(
            n=squeezed, days=now, date=date
        )
    aim = tr("With {n} fruit you know {date}, give or take {days}.").format(
        n=design.enough, days=_days(design.within_days[design.enough], words), date=date
    )
    if squeezed == 0:
        rest = tr(
            "Now it is give or take {days}. Take them from different crates, not the ripest first."
        )
        return f"{aim} {rest.format(days=now)}"
    rest = tr("With the {n} you have it is give or take {days}.")
    return f"{aim} {rest.format(n=squeezed, days=now)}"


def _asked_words(squeezed: int, asked: int) -> str:
    if squeezed >= asked:
        return tr_n(
            "{n} fruit is enough for the plan.", "{n} fruit are enough for the plan.", squeezed
        ).format(n=squeezed)
    return tr_n(
        "The plan depends on this check: take {n} fruit.",
        "The plan depends on this check: take {n} fruit from different crates, not the ripest "
        "first.",
        asked,
    ).format(n=asked)


def _days(value: float, words: Formats) -> str:
    number = words.number(value, 1)
    return tr("{n} days").format(n=number)


def _date_words(date: DateKind, words: Formats) -> str:
    return {
        DateKind.OPENS: tr("the day it gets ready"),
        DateKind.CLOSES: tr("the day it is past"),
        DateKind.READY_IF_WARM: tr("the day it would be ready at {warm}").format(
            warm=words.temperature(WARM_C, 0)
        ),
    }[date]


def check_words(check: Check, crop: CropProfile | None, words: Formats) -> str:
    """What was found: "3 slight give, 5 gives" or "5 readings, 11.2 N on average"."""
    if check.feel_counts is not None:
        return ", ".join(
            f"{count} {name}"
            for count, name in zip(check.feel_counts, feel_names(crop), strict=True)
            if count
        )
    mean = words.number(sum(check.readings) / max(len(check.readings), 1), 1)
    unit = check.reading_unit or "N"
    text = tr_n(
        "{n} reading, {mean} {unit}",
        "{n} readings, {mean} {unit} on average",
        len(check.readings),
    )
    return text.format(mean=mean, unit=unit)


_AS_THE_BOOK = 0.05
"""A factor this near to 1 is "as fast as"."""

_SAME_SHARE = 0.015
"""A share this near to another is told as the same."""

_SAME_DAYS = 0.25
"""Dates this near to each other are told as the same."""
_SAME_DOUBT_DAYS = 0.1
"""So are ranges that differ by less at either end: they are told in tenths."""


def rate_name(season: Season, rate: LearnedRate) -> str:
    """Whose fruit a rate is of: the cultivar, or the crop where none was noted."""
    cultivar = season.book.cultivars.get(rate.cultivar_id or "")
    if cultivar is not None:
        return cultivar.name
    return tr("{crop}, no cultivar entered").format(crop=crop_name(season.crops, rate.crop))


def pace_words(rate: LearnedRate, words: Formats) -> str:
    """How fast fruit softens: "1.3 times as fast as the book, 1.1 to 1.5"."""
    low, mid, high = rate.factor
    if abs(math.log(mid)) < _AS_THE_BOOK:
        text = tr("about as fast as usual ({low} to {high} times)")
    else:
        text = tr("{mid} times as fast as usual ({low} to {high})")
    return text.format(
        low=words.number(low, 2), mid=words.number(mid, 2), high=words.number(high, 2)
    )


def able_words(season: Season, share: LearnedShare, formats: Formats) -> str:
    """How much can ripen: "Pawpaw: 97 % of fruit can ripen (94–99 %); the book says 83 %."."""
    name = crop_name(season.crops, share.crop)
    if share.group:
        name = group_name(season.crops, share.crop, share.group)
    low, mid, high = share.ripens
    if abs(mid - share.book) < _SAME_SHARE:
        text = tr("{crop}: {mid} of the fruit can ripen ({range}), as usual.")
    else:
        text = tr("{crop}: {mid} of the fruit can ripen ({range}); usual is {book}.")
    return text.format(
        crop=name,
        mid=formats.share(mid),
        range=formats.share_range(low, high),
        book=formats.share(share.book),
    )


def life_words(season: Season, life: LearnedLife, formats: Formats) -> str:
    """How long ripe fruit lasts: "Pawpaw: ripe fruit keeps 2.5 days at 20 °C (2.1 to 3.0); usual is
    1.7."."""
    name = crop_name(season.crops, life.crop)
    if life.group:
        name = group_name(season.crops, life.crop, life.group)
    low, mid, high = (formats.number(days, 1) for days in life.days)
    if abs(math.log(life.days.mid / life.book_days)) < _AS_THE_BOOK:
        text = tr("{crop}: ripe fruit keeps {mid} days at {at} ({low} to {high}), as usual.")
    else:
        text = tr("{crop}: ripe fruit keeps {mid} days at {at} ({low} to {high}); usual is {book}.")
    return text.format(
        crop=name,
        mid=mid,
        low=low,
        high=high,
        at=formats.temperature(life.reference_c, 0),
        book=formats.number(life.book_days, 1),
    )


def evidence_words(rate: LearnedRate) -> str:
    """What a rate rests on: checks, batches, and seasons whose lessons went in."""
    if rate.checks:
        checks = tr_n("from {n} check", "from {n} checks", rate.checks)
        if rate.batches > 1:
            checks += tr_n(" of {n} batch", " of {n} batches", rate.batches)
    else:
        checks = tr("no check of its own yet")
    if rate.taught_by:
        checks += tr(", started from {seasons}").format(seasons=", ".join(rate.taught_by))
    return checks


def taught_words(taught: DateShift, words: Formats) -> str:
    """What the checks changed of a batch's date, against the book."""
    names = {
        NextDate.OPENS: tr("It opens"),
        NextDate.CLOSES: tr("It closes"),
    }
    before = (taught.before.high_h - taught.before.low_h) / 48.0
    after = (taught.after.high_h - taught.after.low_h) / 48.0
    if abs(taught.earlier_days) < _SAME_DAYS and abs(before - after) < _SAME_DOUBT_DAYS:
        return tr(
            "The checks changed nothing: {opens} as without them, known to ±{days} days."
        ).format(opens=within(names[taught.after.ahead]), days=words.number(after, 1))
    return tr("{opens} {shift}; known to ±{after} days (without checks ±{before}).").format(
        opens=names[taught.after.ahead],
        shift=_shift_words(taught.earlier_days, words),
        after=words.number(after, 1),
        before=words.number(before, 1),
    )


def _shift_words(earlier_days: float, words: Formats) -> str:
    days = words.number(abs(earlier_days), 1)
    if abs(earlier_days) < _SAME_DAYS:
        return tr("on the same day as without checks")
    if earlier_days > 0:
        return tr("{n} days earlier than without checks").format(n=days)
    return tr("{n} days later than without checks").format(n=days)


def pull_words(pull: DateShift, counted: bool, words: Formats) -> str:
    """What one check changes: "without it: opens 2.0 days later"."""
    # Without it the date is ``before``: later than ``after`` by what the check made it earlier.
    later = pull.earlier_days if counted else -pull.earlier_days
    days = words.number(abs(later), 1)
    opens = pull.after.ahead is NextDate.OPENS
    start = tr("without it") if counted else tr("with it")
    if abs(later) < 0.05:
        rest = tr("same date")
    elif later > 0:
        rest = tr("opens {n} days later") if opens else tr("closes {n} days later")
    else:
        rest = tr("opens {n} days earlier") if opens else tr("closes {n} days earlier")
    return f"{start}: {rest.format(n=days)}"


def surprise_words(fit: CheckFit, by_colour: bool) -> str:
    """How a check stands to all else; empty where it fits."""
    if not fit.surprising:
        return ""
    if by_colour:
        if fit.z > 0:
            return tr("much riper than the other checks")
        return tr("much greener than the other checks")
    if fit.z > 0:
        return tr("much softer than the other checks")
    return tr("much firmer than the other checks")
