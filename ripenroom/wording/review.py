"""The season review in words: how forecasts held, what was learned, what became of the fruit."""

import math
from collections.abc import Mapping, Sequence

from ripenroom.records.check import Lesson
from ripenroom.season.fruit_balance import BalanceRow, FruitTally
from ripenroom.season.learned import Learned
from ripenroom.season.learning.calibration import (
    Calibration,
    CheckedForecast,
    ForecastKind,
    Width,
)
from ripenroom.season.learning.report import factor_range
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import NEVER, Formats, in_percent
from ripenroom.wording.names import feel_names
from ripenroom.wording.reader import Reader

_SAME_DAYS = 0.4


def lesson_words(lesson: Lesson, crop: str, words: Formats) -> str:
    """One lesson: what of, how fast, from how many checks, and whose."""
    low, mid, high = (
        words.number(times, 2) for times in factor_range(lesson.log_rate, lesson.log_rate_sd)
    )
    told = tr(
        "{what}: {mid} times as fast as usual ({low} to {high}), from {checks} of “{season}”"
    ).format(
        what=lesson.cultivar or crop,
        mid=mid,
        low=low,
        high=high,
        checks=(tr_n("{n} check", "{n} checks", lesson.checks)),
        season=lesson.taught_by,
    )
    if lesson.log_life is None:
        return told
    keeps = tr("ripe fruit keeps {times} times as long as usual").format(
        times=words.number(math.exp(lesson.log_life), 2)
    )
    return f"{told}; {keeps}"


def learned_words(learned: Learned | None, checks: int, counted: int) -> str:
    """From how many checks something was learned, or why nothing was."""
    if checks == 0:
        return tr(
            "No checks yet, so every forecast goes by what is usual for the crop. Squeeze a "
            "handful of a batch that waits: that already shows how fast your fruit softens."
        )
    if learned is None:
        return tr("Working out what the checks teach …")
    text = tr_n("{n} check.", "{n} checks.", checks)
    if checks == 1 and not counted:
        text += " " + tr("It does not count.")
    elif counted < checks:
        text += " " + tr_n(
            "{n} of them does not count.", "{n} of them do not count.", checks - counted
        )
    if learned.unlearnable:
        text += " " + tr("{n} teach nothing, as it is not known where the batch waited.").format(
            n=len(learned.unlearnable)
        )
    return text


def calibration_words(calibration: Calibration, words: Formats) -> str:
    """How often ranges held, and whether fruit runs ahead of its forecasts."""
    number = len(calibration.rows)
    if number == 0:
        return tr(
            "Nothing to look back on yet. Check batches and enter what was sold: each is then "
            "compared with the forecast made before it."
        )
    inside = round(calibration.inside * number)
    text = tr("{inside} of {n} forecasts held: what was found lay within their {sure} range.")
    text = text.format(inside=inside, n=number, sure=in_percent(80))
    return " ".join([text, _width_words(calibration), *_drift_words(calibration, words)])


def _width_words(calibration: Calibration) -> str:
    match calibration.width:
        case Width.UNKNOWN:
            return tr("That is too few to judge the ranges.")
        case Width.TOO_NARROW:
            return tr("8 of 10 should hold: the ranges are too narrow, so trust them less.")
        case Width.TOO_WIDE:
            return tr("8 of 10 should hold: the ranges are wider than they need to be.")
        case Width.RIGHT:
            return tr("About 8 of 10 should hold, so the ranges are right.")


def _drift_words(calibration: Calibration, words: Formats) -> list[str]:
    drift = calibration.drift_days
    if math.isnan(drift):
        return []
    if abs(drift) < _SAME_DAYS:
        return [tr("Fruit ripens neither earlier nor later than forecast.")]
    days = words.number(abs(drift), 1)
    text = (
        tr("Fruit mostly ripens {n} days earlier than forecast.")
        if drift > 0
        else tr("Fruit mostly ripens {n} days later than forecast.")
    )
    return [text.format(n=days)]


def forecast_words(row: CheckedForecast, reader: Reader) -> str:
    """One forecast and what was found."""
    season, words = reader.season, reader.words
    batch = season.book.batches.get(row.batch_id)
    crop = season.crops.get(batch.crop) if batch else None
    low, _, high = row.expected
    if row.outcome is ForecastKind.READINGS:
        found = tr("{found} N on average, expected {low}–{high}")
        return found.format(
            found=words.number(row.observed, 1),
            low=words.number(low, 1),
            high=words.number(high, 1),
        )
    expected = words.share_range(low, high)
    if row.outcome is ForecastKind.MARKET:
        found = tr("{found} of what was brought was still good, expected {range}")
        return found.format(found=words.share(row.observed), range=expected)
    feel = feel_names(crop)[row.from_feel or 0]
    found = tr("{found} felt “{feel}” or softer, expected {range}")
    return found.format(found=words.share(row.observed), feel=feel, range=expected)


def balance_words(tally: FruitTally, words: Formats) -> str:
    """The season so far in a sentence or two."""
    if tally.picked <= 0:
        return tr("Nothing picked yet.")
    parts = [
        tr("{n} sold").format(n=words.number(tally.sold)),
    ]
    if tally.second > 0:
        text = tr("{n} sold as second grade")
        parts.append(text.format(n=words.number(tally.second)))
    for text, fruit in (
        (tr("{n} thrown away"), tally.thrown),
        (tr("{n} still there"), tally.left),
    ):
        parts.append(text.format(n=words.number(fruit)))
    text = tr("{n} fruit picked: {parts}.").format(
        n=words.number(tally.picked), parts=", ".join(parts)
    )
    if tally.sold + tally.second <= 0:
        return text
    money = tr("What was sold brought {money}.").format(money=words.money(tally.money_minor))
    if tally.unpriced > 0:
        money += " " + tr("{n} of the fruit sold have no price.").format(
            n=words.number(tally.unpriced)
        )
    return f"{text} {money}"


def earning_words(lines: Sequence[BalanceRow], names: Mapping[str, str], words: Formats) -> str:
    """Which rows of trees earn their place, or that it is too early to say."""
    known = [
        (line.money_per_tree_minor, names[line.key])
        for line in lines
        if line.money_per_tree_minor is not None and line.key is not None and line.key in names
    ]
    if len(known) < 2:
        return tr(
            "It is too early to say which trees earn their place: it takes two rows or more with "
            "their number of trees, and 30 fruit sold of each at known prices."
        )
    (least, last), *_, (most, first) = sorted(known)
    return tr(
        "Per tree, {first} brought most so far: {most}. {last} brought least: {least}."
    ).format(first=first, most=words.money(round(most)), last=last, least=words.money(round(least)))


def money_words(tally: FruitTally, words: Formats) -> str:
    """What was earned; marked where prices are missing."""
    if tally.sold + tally.second <= 0:
        return NEVER
    money = words.money(tally.money_minor)
    return money if tally.unpriced <= 0 else f"{money} +"
