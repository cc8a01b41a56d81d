"""What was understood of a logger's file, in words."""

from collections.abc import Iterator

from ripenroom.exchange.logger_file.understanding import (
    LoggerClock,
    Role,
    Series,
    Stamp,
    Understanding,
    left_out_words,
)
from ripenroom.exchange.text_table.source import SHEET
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats


def role_name(role: Role) -> str:
    """What a column holds, in words."""
    return {
        Role.MOMENT: tr("date and time"),
        Role.DAY: tr("date"),
        Role.CLOCK: tr("time of day"),
        Role.TEMPERATURE: tr("temperature"),
        Role.LEFT_OUT: tr("left out"),
    }[role]


def clock_name(clock: LoggerClock) -> str:
    """What a logger's clock shows, in words."""
    return {
        LoggerClock.HOME: tr("the season’s local time"),
        LoggerClock.HOME_WINTER: tr("local time without summer time"),
        LoggerClock.UTC: tr("UTC"),
    }[clock]


def separator_name(separator: str) -> str:
    """What stands between cells, in words."""
    return {
        "\t": tr("tabs"),
        ";": tr("semicolons"),
        ",": tr("commas"),
        "|": tr("vertical bars"),
        " ": tr("spaces"),
    }.get(separator, separator)


def step_words(seconds: float, words: Formats) -> str:
    """A usual step between readings."""
    if seconds < 60:
        return tr("{count} s").format(count=words.number(seconds))
    if seconds < 60 * 60:
        return tr("{count} min").format(count=words.number(seconds / 60.0))
    return tr("{count} h").format(
        count=words.number(seconds / 3600.0, 0 if seconds % 3600 == 0 else 1)
    )


def series_words(series: Series, words: Formats) -> str:
    """One probe's readings in a sentence or two."""
    first_h, last_h = (float(series.times_s[n]) / 3600.0 for n in (0, -1))
    parts = [
        tr_n(
            "{n} reading, {first} to {last}", "{n} readings, {first} to {last}", series.times_s.size
        ).format(
            first=words.moment(first_h),
            last=words.moment(last_h),
        )
        + (
            tr(", one every {step}").format(step=step_words(series.usual_step_s, words))
            if series.usual_step_s
            else ""
        )
    ]
    if series.gaps:
        text = tr_n(
            "{n} gap, filled with the set temperature",
            "{n} gaps, filled with the set temperature",
            series.gaps,
        )
        parts.append(text)
    parts += [left_out_words(found, words) for found in series.left_out]
    return ". ".join(parts) + "."


def file_words(found: Understanding, words: Formats) -> Iterator[str]:
    """What was understood of the file as a whole: a line of facts, a line for all left out."""
    yield " ".join(_facts(found, words))
    for left_out in found.left_out:
        yield left_out_words(left_out, words) + "."


def _facts(found: Understanding, words: Formats) -> Iterator[str]:
    yield tr_n(
        "{n} line with a time, from line {first} on.",
        "{n} lines with a time, from line {first} on.",
        found.rows,
    ).format(first=found.first_line)
    if found.encoding != SHEET:
        marks = tr("decimal commas") if found.decimal_comma else tr("decimal points")
        yield tr("Text in {encoding}, {marks}.").format(
            encoding=found.encoding.upper(), marks=marks
        )
    if found.stamp is not Stamp.TEXT:
        yield tr("Times are in {what}.").format(what=_stamp_name(found.stamp))
    if found.offset_told:
        yield tr("Times come with their zone.")
    if found.repeated_hour:
        yield tr("The hour that came twice in autumn is told apart by the order of lines.")
    if found.unsorted:
        yield tr("Lines were sorted by time.")


def _stamp_name(stamp: Stamp) -> str:
    return {
        Stamp.EPOCH_SECONDS: tr("seconds since 1970"),
        Stamp.EPOCH_MILLISECONDS: tr("milliseconds since 1970"),
        Stamp.SPREADSHEET_DAYS: tr("days, as spreadsheets count them"),
    }[stamp]
