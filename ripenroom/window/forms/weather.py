"""The weather outdoors: a file of days to take in, days to type, and what is usual by month."""

from datetime import timedelta
from pathlib import Path

from PySide6.QtWidgets import (
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask, room_for
from ripenroom.window.forms.frost import ForecastNightDialog
from ripenroom.window.forms.weather_file import (
    WeatherFileDialog,
    day_words,
    degrees,
    known_words,
    shown_degrees,
)
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.record_list import RecordList, RecordsDialog
from ripenroom.window.widgets.typed_texts import TypedTexts, close_or_ask

_MONTHS = range(1, 13)


class WeatherDialog(RecordsDialog):
    """What is known of the weather: days on one tab, what is usual by month on the other."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Weather"))
        tabs = QTabWidget(self)
        self.known = WrappedLabel(parent=self)
        self.file_button = QPushButton(tr("&Import a file…"), self)
        self.night_button = QPushButton(tr("F&orecast night…"), self)
        self.days = RecordList(
            tr("Days, the latest first"),
            tr(
                "No weather yet. Import a file with each day’s coldest and warmest, from a "
                "station or a weather service, or type days. Without weather, rows go by the "
                "calendar."
            ),
            self,
        )
        self.months: dict[int, tuple[TypedLine, TypedLine]] = {}
        self.save_months = QPushButton(tr("&Save months"), self)
        tabs.addTab(self._days_tab(), tr("Da&ys"))
        tabs.addTab(self._months_tab(), tr("&Usual months"))
        self.body.addWidget(tabs, 1)
        for button in (self.file_button, self.night_button, self.save_months):
            button.setAutoDefault(False)
        self.file_button.clicked.connect(self.choose_file)
        self.night_button.clicked.connect(lambda: ask(ForecastNightDialog(session, self)))
        self.days.addAsked.connect(lambda: ask(DayWeatherDialog(session, None, self)))
        self.days.editAsked.connect(lambda key: ask(DayWeatherDialog(session, key, self)))
        self.days.deleteAsked.connect(self._delete)
        self.save_months.clicked.connect(self._save_months)
        session.changed.connect(self._on_changed)
        self._typed_texts = TypedTexts(self)
        self.refresh()
        self.days.begin()
        room, line = room_for(self), self.fontMetrics().height()
        self.resize(min(40 * line, room.width()), min(36 * line, room.height()))

    def _days_tab(self) -> QWidget:
        tab = QWidget(self)
        layout = QVBoxLayout(tab)
        layout.addWidget(self.known)
        buttons = QHBoxLayout()
        buttons.addWidget(self.file_button)
        buttons.addWidget(self.night_button)
        buttons.addStretch(1)
        layout.addLayout(buttons)
        layout.addWidget(self.days, 1)
        return tab

    def _months_tab(self) -> QWidget:
        tab = QWidget(self)
        words = self.session.words
        layout, grid = QVBoxLayout(tab), QGridLayout()
        layout.addWidget(
            WrappedLabel(
                tr(
                    "A month’s usual coldest and warmest stand in for days still to come or "
                    "missing. Leave months empty if you like."
                ),
                self,
            )
        )
        unit = words.temperature_unit
        for column, head in enumerate((tr("Coldest (°{unit})"), tr("Warmest (°{unit})"))):
            for side in (0, 1):
                label = PlainLabel(head.format(unit=unit), tab)
                label.setObjectName("faint")
                grid.addWidget(label, 0, 4 * side + 1 + column)
        for month in _MONTHS:
            lines = TypedLine(6, parent=tab), TypedLine(6, parent=tab)
            row, side = (month - 1) % 6 + 1, (month - 1) // 6
            grid.addWidget(PlainLabel(words.month(month), tab), row, 4 * side)
            for column, (line, what) in enumerate(
                zip(lines, (tr("coldest"), tr("warmest")), strict=True)
            ):
                line.setAccessibleName(f"{words.month(month)}: {what}")
                grid.addWidget(line, row, 4 * side + 1 + column)
            self.months[month] = lines
        grid.setColumnMinimumWidth(3, 24)
        layout.addLayout(grid)
        layout.addStretch(1)
        under = QHBoxLayout()
        under.addStretch(1)
        under.addWidget(self.save_months)
        layout.addLayout(under)
        return tab

    def _on_changed(self, changed: Changed) -> None:
        if changed.weather or changed.settings:
            self.refresh()

    def refresh(self) -> None:
        """Show the weather as it is now."""
        book, words = self.session.season.book, self.session.words
        self.note.clear()
        days = sorted(book.weather.values(), key=lambda day: day.on, reverse=True)
        self.known.setText(known_words(days[::-1], words))
        self.known.setVisible(bool(days))
        self.days.show_records([(day.id, day_words(day, words)) for day in days])
        for month, lines in self.months.items():
            usual = next((m for m in book.monthly_normals.values() if m.month == month), None)
            for line, value in zip(
                lines, (usual.min_c, usual.max_c) if usual else (None, None), strict=True
            ):
                if not line.hasFocus():
                    line.setText("" if value is None else shown_degrees(value, words))
        writable = self.session.season.read_only_because is None
        for widget in (self.file_button, self.night_button, self.days, self.save_months):
            widget.setEnabled(writable)

    def choose_file(self) -> None:
        """Ask which file, and show what is in it."""
        name, _ = QFileDialog.getOpenFileName(
            self,
            tr("Weather file"),
            "",
            tr("Tables ({patterns});;All files (*)").format(
                patterns="*.csv *.txt *.tsv *.xlsx *.dat"
            ),
        )
        if name:
            ask(WeatherFileDialog(self.session, Path(name), self))

    def _delete(self, day_id: str) -> None:
        self.run_deletion(lambda: self.session.season.do(actions.weather.delete_days, [day_id]))

    def _save_months(self) -> None:
        self.run(tr("Usual weather saved."), self.carry_out_months)

    def carry_out_months(self) -> None:
        """Save all months; those without numbers are left out."""
        words, usual = self.session.words, {}
        for month, (low, high) in self.months.items():
            typed = [line.text().strip() for line in (low, high)]
            if not any(typed):
                continue
            if not all(typed):
                raise Refusal(
                    "", "{month}: type both coldest and warmest, or neither.",
                    month=words.month(month),
                )  # fmt: skip
            usual[month] = (degrees(low, words, ""), degrees(high, words, ""))
        self.session.season.do(actions.weather.set_normals, usual)
        self._typed_texts.forget()

    def done(self, result: int) -> None:
        """Close; where typed months would be lost, only when asked once more."""
        if close_or_ask(self.note, self._typed_texts.any(), self.close_button.text()):
            super().done(result)


class DayWeatherDialog(FormDialog):
    """The weather of one day, typed."""

    def __init__(self, session: Session, day_id: str | None, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        words, kept = session.words, session.season.book.weather.get(day_id or "")
        self.setWindowTitle(tr("Weather of a day"))
        self.action_button.setText(tr("Save"))
        today = session.season.state.today
        self.on = DayLine(session.locale, session.season.now, "back", self)
        self.on.set_day(kept.on if kept else today - timedelta(days=1))
        self.on.setEnabled(kept is None)
        self.coldest, self.warmest = TypedLine(6), TypedLine(6)
        if kept is not None:
            self.coldest.setText(shown_degrees(kept.min_c, words))
            self.warmest.setText("" if kept.max_c is None else shown_degrees(kept.max_c, words))
        unit = words.temperature_unit
        self.add("on", Field(tr("&Day"), self.on))
        self.add("min_c", Field(tr("&Coldest (°{unit})").format(unit=unit), self.coldest))
        self.add("max_c", Field(tr("&Warmest (°{unit})").format(unit=unit), self.warmest))
        self.fit()

    def carry_out(self) -> None:
        """Save the day; one that is still to come is a forecast."""
        words, on = self.session.words, self.on.typed_day("on")
        ahead = on > self.session.season.state.today
        low = degrees(self.coldest, words, "min_c")
        high = degrees(self.warmest, words, "max_c") if self.warmest.text().strip() else None
        day = actions.weather.day_weather(on, low, high, "forecast" if ahead else "typed")
        self.session.season.do(actions.weather.save_day, day)
