"""Reads a logger's file beside the window, again as it is corrected; what it found, in words."""

from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Signal

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    LoggerClock,
    Role,
    Series,
    Stamp,
    Understanding,
    left_out_words,
)
from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.exchange.text_table.source import SHEET, TableSource, load
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr, tr_n
from ripenroom.window.background.task import BackgroundTask
from ripenroom.wording.formats import Formats

_LOADED = 0.4
"""Share of the whole that loading a file's lines takes, roughly."""


class FileReading(QObject):
    """Loads a file once and reads it by the latest corrections.

    ``progressed`` carries the share done. ``understood`` carries an :class:`Understanding`,
    ``refused`` a :class:`Refusal`; exactly one of them follows the latest call of :meth:`read`.
    """

    progressed = Signal(float)
    understood = Signal(object)
    refused = Signal(object)

    def __init__(self, path: Path, home: Home, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path = path
        self._home = home
        self._loaded: list[TableSource] = []
        self._task: BackgroundTask[Understanding] | None = None

    @property
    def working(self) -> bool:
        """Whether an answer is still to come."""
        return self._task is not None

    def read(self, corrections: Corrections) -> None:
        """Read the file so corrected; what was under way is dropped."""
        self.stop()
        loaded, path, home = self._loaded, self._path, self._home

        def work(cancel: Event, tell: Callable[[float], None]) -> Understanding:
            progress = ReadProgress(tell, cancel)
            if not loaded:
                progress.part(0.0, _LOADED)
                loaded.append(load(path, progress))
                progress.part(_LOADED, 1.0)
            return read(loaded[0], home, corrections, progress)

        self._task = BackgroundTask(work, self)
        self._task.progressed.connect(self.progressed)
        self._task.ended.connect(self._take)
        self._task.start()

    def stop(self) -> None:
        """Drop what is under way, and wait until its thread is gone."""
        task, self._task = self._task, None
        if task is not None:
            task.wait()
            task.deleteLater()

    def _take(self) -> None:
        task, self._task = self._task, None
        assert task is not None
        task.deleteLater()
        if task.result is not None:
            self.understood.emit(task.result)
        elif isinstance(task.error, Refusal):
            self.refused.emit(task.error)
        elif task.report_error():
            self.refused.emit(
                Refusal("file", "{file} cannot be read. Nothing is lost.", file=self._path.name)
            )


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
        yield tr(
            "When the clocks went back an hour came twice; its lines are taken in their order."
        )
    if found.unsorted:
        yield tr("Lines were sorted by time.")


def _stamp_name(stamp: Stamp) -> str:
    return {
        Stamp.EPOCH_SECONDS: tr("seconds since 1970"),
        Stamp.EPOCH_MILLISECONDS: tr("milliseconds since 1970"),
        Stamp.SPREADSHEET_DAYS: tr("days, as spreadsheets count them"),
    }[stamp]
