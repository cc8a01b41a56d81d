"""Taking in a file of days of weather: how it was read, in words, to be corrected first."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

from PySide6.QtWidgets import QWidget

from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import Corrections, ReadDoubt
from ripenroom.exchange.text_table.source import TableSource, load
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.exchange.weather_file import WeatherColumns, WeatherFound, read_weather
from ripenroom.records.orchard import DayWeather, WeatherSource
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_words import order_choices, which_day
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel
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


class WeatherFileDialog(FormDialog):
    """A file of days: how it was read, to be corrected before it is taken in."""

    def __init__(self, session: Session, path: Path, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        season = session.season
        self._path = path
        self._source: list[TableSource] = []
        self._home = Home(season.zone, season.now(), season.book.season.units == "us")
        self.found: WeatherFound | None = None
        self.setWindowTitle(tr("Weather file {file}").format(file=path.name))
        self.action_button.setText(tr("Import"))
        self.facts = WrappedLabel(tr("Reading…"), self)
        self.body.addWidget(self.facts)
        self.unit, self.order = RecordChoice(14), RecordChoice(20)
        self.coldest, self.warmest = TypedLine(18), TypedLine(18)
        self.unit.set_choices([(None, tr("as the file says")), ("C", "°C"), ("F", "°F")])
        self.order.set_choices([(None, tr("as the file says"))])
        self.add("unit", Field(tr("&Temperatures are in"), self.unit))
        self.add("date_order", Field(tr("&Dates are written as"), self.order))
        self.add("columns", Field(tr("Column with the &coldest"), self.coldest))
        self.add("warmest", Field(tr("Column with the &warmest"), self.warmest))
        for choice in (self.unit, self.order):
            choice.activated.connect(self.read)
        for line in (self.coldest, self.warmest):
            line.editingFinished.connect(self.read)
        self._taken = actions.weather.TakenWeather()
        self.read()
        self.fit()

    def read(self) -> None:
        """Read the file as it is corrected now."""
        order, unit = self.order.value(), self.unit.value()
        corrections = Corrections(
            date_order=order if isinstance(order, DateOrder) else None,
            unit="C" if unit == "C" else "F" if unit == "F" else None,
        )
        typed = self.coldest.text().strip(), self.warmest.text().strip()
        columns = WeatherColumns(*typed) if all(typed) else None
        source, path, home = self._source, self._path, self._home

        def work() -> WeatherFound:
            if not source:
                source.append(load(path))
            return read_weather(source[0], home, corrections, columns)

        self.action_button.setEnabled(False)
        self.board.clear()
        self.session.run_beside("", work, self._show, self._refuse)

    def _refuse(self, refusal: Refusal) -> bool:
        if refusal.field == "columns":
            return self.board.show(refusal)
        self.facts.setText(refusal.message)
        return True

    def _show(self, found: WeatherFound) -> None:
        self.found = found
        self.facts.setText("\n".join(found_words(found, self.session.words)))
        for line, heading in (
            (self.coldest, found.columns.coldest),
            (self.warmest, found.columns.warmest),
        ):
            if not line.text().strip():
                line.setText(heading)
        words, chosen = self.session.words, self.order.value()
        unclear = ReadDoubt.DATE_ORDER in found.doubts
        first = tr("choose…") if unclear else tr("as the file says")
        orders = order_choices(found.date_orders, found.date_days, words)
        self.order.set_choices([(None, first), *orders])
        self.order.choose(chosen)
        if ReadDoubt.UNIT in found.doubts:
            self.board.fields["unit"].refuse(
                tr("The file does not say, and the numbers could be either.")
            )
        if unclear:
            self.board.fields["date_order"].refuse(which_day(found.date_days, words))
        self.action_button.setEnabled(not found.doubts)

    def done_text(self) -> str:
        """How many days came in, and which were left as they were."""
        taken = self._taken
        said = tr_n(
            "{n} day of weather imported.",
            "{n} days of weather imported.",
            taken.new + taken.changed,
        )
        if taken.typed_kept:
            said += " " + tr_n(
                "{n} typed day is kept.", "{n} typed days are kept.", taken.typed_kept
            )
        return said

    def accept(self) -> None:
        """Take the days in; close only if that was not refused."""
        self.board.clear()
        if self.session.run("", self.carry_out, self.board.show):
            self.session.say(self.done_text())
            self.done(WeatherFileDialog.DialogCode.Accepted)

    def carry_out(self) -> None:
        """Take the days in."""
        assert self.found is not None, "the button is off until the file is read"
        self._taken = self.session.season.do(
            actions.weather.take_days, self.found.days, self._path.name
        )
