"""What was understood of a logger's file, in words."""

from collections.abc import Iterator

from ripenroom.exchange.logger_file import (
    DateOrder,
    Fault,
    LeftOut,
    LoggerClock,
    Role,
    Series,
    Stamp,
    Understanding,
)
from ripenroom.exchange.text_table.source import SHEET
from ripenroom.texts import tr
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


def order_name(order: DateOrder) -> str:
    """A date order in words."""
    return {
        DateOrder.YEAR_MONTH_DAY: tr("year, month, day"),
        DateOrder.DAY_MONTH_YEAR: tr("day, month, year"),
        DateOrder.MONTH_DAY_YEAR: tr("month, day, year"),
    }[order]


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


def _fault_words(fault: Fault) -> str:
    return {
        Fault.NOT_A_ROW: tr("Lines without a reading"),
        Fault.NO_TIME: tr("Lines whose time cannot be read"),
        Fault.NO_VALUE: tr("Empty temperatures"),
        Fault.SENSOR_FAULT: tr("Sensor errors, or impossible temperatures"),
        Fault.SAME_TIME: tr("Several readings of one time (averaged)"),
        Fault.SKIPPED_HOUR: tr(
            "In the hour that clocks skip in spring (if the logger’s clock does not, say so below)"
        ),
    }[fault]


def left_out_words(left_out: LeftOut, words: Formats) -> str:
    """How many of what were left out, and in which lines."""
    shown = ", ".join(str(line) for line in left_out.lines)
    more = " …" if left_out.count > len(left_out.lines) else ""
    text = (
        tr("{what}: {count} (line {lines})")
        if left_out.count == 1
        else tr("{what}: {count} (lines {lines})")
    )
    return text.format(
        count=words.number(left_out.count), what=_fault_words(left_out.fault), lines=shown + more
    )


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
        tr("{count} readings, {first} to {last}").format(
            count=words.number(series.times_s.size),
            first=words.moment(first_h),
            last=words.moment(last_h),
        )
        + (
            tr(", one every {step}").format(step=step_words(series.usual_step_s, words))
            if series.usual_step_s
            else ""
        )
    ]
    if series.gaps == 1:
        parts.append(tr("1 gap, filled with the set temperature"))
    elif series.gaps:
        parts.append(
            tr("{count} gaps, filled with the set temperature").format(
                count=words.number(series.gaps)
            )
        )
    parts += [left_out_words(found, words) for found in series.left_out]
    return ". ".join(parts) + "."


def file_words(found: Understanding, words: Formats) -> Iterator[str]:
    """What was understood of the file as a whole: a line of facts, a line for all left out."""
    yield " ".join(_facts(found, words))
    for left_out in found.left_out:
        yield left_out_words(left_out, words) + "."


def _facts(found: Understanding, words: Formats) -> Iterator[str]:
    yield tr("{count} lines with a time, from line {first} on.").format(
        count=words.number(found.rows), first=found.first_line
    )
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
