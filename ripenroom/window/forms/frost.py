"""When the first frost comes: two days, or a list of past ones; and nights that are forecast."""

import re
from collections.abc import Sequence
from datetime import date, timedelta

from PySide6.QtWidgets import QRadioButton, QWidget

from ripenroom.days import full_day
from ripenroom.records.orchard import FROST_ID
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.typed_day import read_day

_SUCH_AS = (date(2019, 10, 12), date(2020, 11, 3), date(2021, 10, 30))
"""How a list of past frosts may look."""

_TENTH_AFTER, _EVEN_AFTER = timedelta(days=50), timedelta(days=64)
"""Where the two days begin, after the season's first day: only a place to start typing from."""


class FrostDialog(FormDialog):
    """Two days or a list, whichever is ticked; clearing both says nothing of frost."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        season, words = session.season, session.words
        kept = season.book.frost_dates.get(FROST_ID)
        first_day = season.book.season.first_day
        self.setWindowTitle(tr("First frost"))
        self.action_button.setText(tr("Save"))
        self.action_button.setEnabled(season.read_only_because is None)
        self.body.addWidget(
            WrappedLabel(
                tr(
                    "The first frost of autumn ends the season: even a light one can bring all "
                    "fruit down within days. Weather services publish two dates for most places; "
                    "your own list of dates will do as well."
                ),
                self,
            )
        )
        self.by_days = QRadioButton(tr("&Two days from a table"), self)
        self.tenth = DayLine(session.locale, season.now, "near", self)
        self.even = DayLine(session.locale, season.now, "near", self)
        self.tenth.set_day(first_day + _TENTH_AFTER)
        self.even.set_day(first_day + _EVEN_AFTER)
        self.by_list = QRadioButton(tr("&First frosts of past years"), self)
        self.list = TypedLine(40, _listed_words(_SUCH_AS))
        self.frost = TypedLine(6)
        self.frost.setText(words.temperature(kept.frost_c if kept else 0.0))
        self.body.addWidget(self.by_days)
        self.add("tenth_on", Field(tr("In &one year of ten it has come by"), self.tenth))
        self.add("even_on", Field(tr("In &half of all years it has come by"), self.even))
        self.body.addWidget(self.by_list)
        self.add(
            "first_frosts",
            Field(
                tr("&Days, one for each year"),
                self.list,
                hint=tr("With their years, and commas between"),
            ),
        )
        self.add("frost_c", Field(tr("A frost is a night as &cold as"), self.frost))
        self.forget = QRadioButton(tr("&Not known"), self)
        self.body.addWidget(self.forget)
        if kept is not None and kept.tenth_on is not None and kept.even_on is not None:
            self.tenth.set_day(kept.tenth_on)
            self.even.set_day(kept.even_on)
        if kept is not None:
            self.list.setText(_listed_words(kept.first_frosts))
        (self.by_list if kept and kept.first_frosts else self.by_days).setChecked(True)
        for button in (self.by_days, self.by_list, self.forget):
            button.toggled.connect(lambda _on: self._show_way())
        self._show_way()
        self.fit()

    def _show_way(self) -> None:
        for name, used in (
            ("tenth_on", self.by_days),
            ("even_on", self.by_days),
            ("first_frosts", self.by_list),
        ):
            self.board.fields[name].setEnabled(used.isChecked())
        self.board.fields["frost_c"].setEnabled(not self.forget.isChecked())

    def carry_out(self) -> None:
        """Save what is ticked."""
        season = self.session.season
        if self.forget.isChecked():
            if FROST_ID in season.book.frost_dates:
                season.do(actions.weather.forget_frost)
            return
        frost_c = self.session.words.parse_temperature_c(self.frost.text())
        if frost_c is None:
            raise Refusal(
                "frost_c", "Type a temperature here, not “{typed}”.", typed=self.frost.text()
            )
        if self.by_days.isChecked():
            tenth, even = self.tenth.typed_day("tenth_on"), self.even.typed_day("even_on")
            season.do(actions.weather.set_frost, tenth, even, (), frost_c)
        else:
            season.do(actions.weather.set_frost, None, None, self._listed(), frost_c)

    def _listed(self) -> list[date]:
        today, names = self.session.season.now().date(), day_words(self.session.locale)
        days = []
        for text in _apart(self.list.text()):
            day = read_day(text, today, "back", names)
            if day is None:
                raise Refusal(
                    "first_frosts",
                    "“{typed}” is not a day. Type each like {like}, with commas between.",
                    typed=text,
                    like=_SUCH_AS[0],
                )
            days.append(day)
        return days


def _listed_words(days: Sequence[date]) -> str:
    return ", ".join(full_day(day) for day in days)


def _apart(text: str) -> list[str]:
    """The days of a list: between commas or lines, or between blanks where none has any in it."""
    parts = re.split(r"[,;\n]+", text)
    if len(parts) == 1 and re.fullmatch(r"[\d\s./-]*", text):
        parts = text.split()
    return [part.strip() for part in parts if part.strip()]


class ForecastNightDialog(FormDialog):
    """How cold a night to come is forecast to get; it counts until the day's weather is known."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Forecast night"))
        self.action_button.setText(tr("Save"))
        self.on = DayLine(session.locale, session.season.now, "ahead", self)
        self.coldest, self.warmest = TypedLine(6), TypedLine(6)
        self.add("on", Field(tr("&Morning of"), self.on))
        self.add(
            "min_c",
            Field(tr("&Coldest (°{unit})").format(unit=session.words.temperature_unit),
                  self.coldest),
        )  # fmt: skip
        self.add("max_c", Field(tr("&Warmest of that day, if forecast"), self.warmest))
        self.fit()

    def carry_out(self) -> None:
        """Save the forecast."""
        low = self._degrees(self.coldest, "min_c")
        high = self._degrees(self.warmest, "max_c") if self.warmest.text().strip() else None
        night = actions.weather.day_weather(self.on.typed_day("on"), low, high, "forecast")
        self.session.season.do(actions.weather.save_day, night)

    def _degrees(self, line: TypedLine, field: str) -> float:
        value = self.session.words.parse_temperature_c(line.text())
        if value is None:
            raise Refusal(field, "Type a temperature here, not “{typed}”.", typed=line.text())
        return value
