"""What was understood of a logger's file, in words."""

from collections.abc import Iterator

from PySide6.QtCore import QCoreApplication

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
from ripenroom.window.formats import Formats


def role_name(role: Role) -> str:
    """What a column holds, in words."""
    return {
        Role.MOMENT: QCoreApplication.translate("LogWords", "date and time"),
        Role.DAY: QCoreApplication.translate("LogWords", "date"),
        Role.CLOCK: QCoreApplication.translate("LogWords", "time of day"),
        Role.TEMPERATURE: QCoreApplication.translate("LogWords", "temperature"),
        Role.LEFT_OUT: QCoreApplication.translate("LogWords", "left out"),
    }[role]


def order_name(order: DateOrder) -> str:
    """A date order in words."""
    return {
        DateOrder.YEAR_MONTH_DAY: QCoreApplication.translate("LogWords", "year, month, day"),
        DateOrder.DAY_MONTH_YEAR: QCoreApplication.translate("LogWords", "day, month, year"),
        DateOrder.MONTH_DAY_YEAR: QCoreApplication.translate("LogWords", "month, day, year"),
    }[order]


def clock_name(clock: LoggerClock) -> str:
    """What a logger's clock shows, in words."""
    return {
        LoggerClock.HOME: QCoreApplication.translate("LogWords", "the season’s local time"),
        LoggerClock.HOME_WINTER: QCoreApplication.translate(
            "LogWords", "local time without summer time"
        ),
        LoggerClock.UTC: QCoreApplication.translate("LogWords", "UTC"),
    }[clock]


def separator_name(separator: str) -> str:
    """What stands between cells, in words."""
    return {
        "\t": QCoreApplication.translate("LogWords", "tabs"),
        ";": QCoreApplication.translate("LogWords", "semicolons"),
        ",": QCoreApplication.translate("LogWords", "commas"),
        "|": QCoreApplication.translate("LogWords", "upright strokes"),
        " ": QCoreApplication.translate("LogWords", "blanks"),
    }.get(separator, separator)


def _fault_words(fault: Fault) -> str:
    return {
        Fault.NOT_A_ROW: QCoreApplication.translate("LogWords", "Lines that are no readings"),
        Fault.NO_TIME: QCoreApplication.translate("LogWords", "Lines whose time cannot be read"),
        Fault.NO_VALUE: QCoreApplication.translate("LogWords", "Empty temperatures"),
        Fault.SENSOR_FAULT: QCoreApplication.translate(
            "LogWords", "Errors of the sensor, or impossible temperatures"
        ),
        Fault.SAME_TIME: QCoreApplication.translate(
            "LogWords", "Readings of a time that was there (averaged)"
        ),
        Fault.SKIPPED_HOUR: QCoreApplication.translate(
            "LogWords",
            "In the hour that clocks skip (if the logger knows no summer time, choose that below)",
        ),
    }[fault]


def left_out_words(left_out: LeftOut, words: Formats) -> str:
    """How many of what were left out, and in which lines."""
    shown = ", ".join(str(line) for line in left_out.lines)
    more = " …" if left_out.count > len(left_out.lines) else ""
    text = (
        QCoreApplication.translate("LogWords", "{what}: {count} (line {lines})")
        if left_out.count == 1
        else QCoreApplication.translate("LogWords", "{what}: {count} (lines {lines})")
    )
    return text.format(
        count=words.number(left_out.count), what=_fault_words(left_out.fault), lines=shown + more
    )


def step_words(seconds: float, words: Formats) -> str:
    """A usual step between readings."""
    if seconds < 60:
        return QCoreApplication.translate("LogWords", "{count} s").format(
            count=words.number(seconds)
        )
    if seconds < 60 * 60:
        return QCoreApplication.translate("LogWords", "{count} min").format(
            count=words.number(seconds / 60.0)
        )
    return QCoreApplication.translate("LogWords", "{count} h").format(
        count=words.number(seconds / 3600.0, 0 if seconds % 3600 == 0 else 1)
    )


def series_words(series: Series, words: Formats) -> str:
    """One probe's readings in a sentence or two."""
    first_h, last_h = (float(series.times_s[n]) / 3600.0 for n in (0, -1))
    parts = [
        QCoreApplication.translate("LogWords", "{count} readings, {first} to {last}").format(
            count=words.number(series.times_s.size),
            first=words.moment(first_h),
            last=words.moment(last_h),
        )
        + (
            QCoreApplication.translate("LogWords", ", one every {step}").format(
                step=step_words(series.usual_step_s, words)
            )
            if series.usual_step_s
            else ""
        )
    ]
    if series.gaps == 1:
        parts.append(QCoreApplication.translate("LogWords", "1 gap, which the set point fills"))
    elif series.gaps:
        parts.append(
            QCoreApplication.translate(
                "LogWords", "{count} gaps, which the set point fills"
            ).format(count=words.number(series.gaps))
        )
    parts += [left_out_words(found, words) for found in series.left_out]
    return ". ".join(parts) + "."


def file_words(found: Understanding, words: Formats) -> Iterator[str]:
    """What was understood of the file as a whole: a line of facts, a line for all left out."""
    yield " ".join(_facts(found, words))
    for left_out in found.left_out:
        yield left_out_words(left_out, words) + "."


def _facts(found: Understanding, words: Formats) -> Iterator[str]:
    yield QCoreApplication.translate(
        "LogWords", "{count} lines with a time, from line {first} on."
    ).format(count=words.number(found.rows), first=found.first_line)
    if found.encoding != SHEET:
        marks = (
            QCoreApplication.translate("LogWords", "decimal commas")
            if found.decimal_comma
            else QCoreApplication.translate("LogWords", "decimal points")
        )
        yield QCoreApplication.translate("LogWords", "Text in {encoding}, {marks}.").format(
            encoding=found.encoding.upper(), marks=marks
        )
    if found.stamp is not Stamp.TEXT:
        yield QCoreApplication.translate("LogWords", "Times are counted in {what}.").format(
            what=_stamp_name(found.stamp)
        )
    if found.offset_told:
        yield QCoreApplication.translate("LogWords", "Times say their zone themselves.")
    if found.repeated_hour:
        yield QCoreApplication.translate(
            "LogWords",
            "The hour that came twice as clocks were put back is told apart by the order of lines.",
        )
    if found.unsorted:
        yield QCoreApplication.translate("LogWords", "Lines were put in the order of time.")


def _stamp_name(stamp: Stamp) -> str:
    return {
        Stamp.EPOCH_SECONDS: QCoreApplication.translate("LogWords", "seconds since 1970"),
        Stamp.EPOCH_MILLISECONDS: QCoreApplication.translate("LogWords", "milliseconds since 1970"),
        Stamp.SPREADSHEET_DAYS: QCoreApplication.translate(
            "LogWords", "days, as spreadsheets count them"
        ),
    }[stamp]
