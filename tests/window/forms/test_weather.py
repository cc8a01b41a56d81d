"""Weather and first frost: files taken in, days and months typed, what was read said."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.records.orchard import FROST_ID, normal_id, weather_id
from ripenroom.window.forms.frost import ForecastNightDialog, FrostDialog
from ripenroom.window.forms.weather import DayWeatherDialog, WeatherDialog
from ripenroom.window.forms.weather_file import WeatherFileDialog
from ripenroom.window.session import Session

STATION = "date,tmin C,tmax C\n2026-02-13,4,15\n2026-02-14,5,16\n2026-02-17,5,19\n2026-03-01,6,20\n"


def opened(qtbot: QtBot, session: Session, path: Path, text: str) -> WeatherFileDialog:
    path.write_text(text, "utf-8")
    form = WeatherFileDialog(session, path)
    qtbot.addWidget(form)
    form.show()
    qtbot.waitUntil(lambda: form.found is not None or "Reading" not in form.facts.text())
    return form


def test_a_file_is_shown_before_it_is_taken_in(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    form = opened(qtbot, session, tmp_path / "station.csv", STATION)
    said = form.facts.text()
    assert "Filled in by a straight line: Sun 15 Feb, Mon 16 Feb." in said
    assert "Missing: Wed 18 Feb – Sat 28 Feb." in said
    assert (form.coldest.text(), form.warmest.text()) == ("tmin C", "tmax C")
    assert weather_id(date(2026, 2, 13)) not in session.season.book.weather
    with qtbot.waitSignal(session.said) as told:
        form.action_button.click()
    assert told.args[0] == "6 days of weather imported."
    assert session.season.book.weather[weather_id(date(2026, 2, 14))].max_c == 16.0
    assert session.season.undo_label == "6 days of weather from station.csv"


def test_what_a_file_does_not_tell_is_asked(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    text = "date,low,high\n01/02/2026,38,44\n02/03/2026,39,47\n03/04/2026,37,45\n"
    form = opened(qtbot, session, tmp_path / "station.csv", text)
    assert not form.action_button.isEnabled()
    assert form.board.fields["unit"].note.text
    form.unit.choose("F")
    asked = form.board.fields["date_order"].note.text
    assert asked.endswith("Is a date in it 1 Feb 2026 or 2 Jan 2026?")
    form.order.choose(DateOrder.DAY_MONTH_YEAR)
    form.read()
    qtbot.waitUntil(form.action_button.isEnabled)
    form.action_button.click()
    assert weather_id(date(2026, 2, 1)) in session.season.book.weather


def test_a_file_of_something_else_says_so(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    form = opened(qtbot, session, tmp_path / "station.csv", "a shopping list\nmilk\n")
    qtbot.waitUntil(lambda: "station.csv" in form.facts.text())
    assert not form.action_button.isEnabled()


@pytest.fixture
def weather(qtbot: QtBot, session: Session) -> WeatherDialog:
    made = WeatherDialog(session)
    qtbot.addWidget(made)
    made.show()
    return made


def test_what_is_known_is_said(weather: WeatherDialog) -> None:
    assert "1 Apr 2026 to 3 Oct 2026" in weather.known.text()
    assert "2 filled in" in weather.known.text()
    assert weather.days.list.item(0).text().endswith("forecast")
    assert weather.months[9][0].text() == "12.0"


def test_months_are_saved_together(weather: WeatherDialog) -> None:
    book = weather.session.season.book
    assert normal_id(12) not in book.monthly_normals
    weather.months[12][0].setText("3")
    weather.save_months.click()
    assert "December" in weather.note.text
    weather.months[12][1].setText("12.5")
    weather.save_months.click()
    assert weather.session.season.book.monthly_normals[normal_id(12)].max_c == 12.5


def test_a_day_is_typed_and_deleted(qtbot: QtBot, weather: WeatherDialog) -> None:
    session = weather.session
    form = DayWeatherDialog(session, None)
    qtbot.addWidget(form)
    form.on.set_day(date(2026, 3, 1))
    form.coldest.setText("x")
    form.action_button.click()
    assert form.board.fields["min_c"].note.text
    form.coldest.setText("2.5")
    form.warmest.setText("14")
    form.action_button.click()
    key = weather_id(date(2026, 3, 1))
    assert session.season.book.weather[key].source == "typed"
    shown = [weather.days.list.item(n).text() for n in range(weather.days.list.count())]
    assert any("1 Mar" in text for text in shown)
    weather.days.deleteAsked.emit(key)
    assert key not in session.season.book.weather


def test_a_forecast_night_needs_no_warmest(qtbot: QtBot, session: Session) -> None:
    form = ForecastNightDialog(session)
    qtbot.addWidget(form)
    on = session.season.state.today + timedelta(days=2)
    form.on.set_day(on)
    form.coldest.setText("-1.5")
    form.action_button.click()
    night = session.season.book.weather[weather_id(on)]
    assert (night.min_c, night.max_c, night.source) == (-1.5, None, "forecast")


def test_frost_by_days_by_a_list_and_not_at_all(qtbot: QtBot, session: Session) -> None:
    def form() -> FrostDialog:
        made = FrostDialog(session)
        qtbot.addWidget(made)
        made.show()
        return made

    days = form()
    assert days.tenth.day() == date(2026, 10, 24)
    days.even.set_day(date(2026, 10, 1))
    days.action_button.click()
    assert "Swap them" in days.board.fields["tenth_on"].note.text
    days.even.set_day(date(2026, 11, 1))
    days.action_button.click()
    assert session.season.book.frost_dates[FROST_ID].even_on == date(2026, 11, 1)
    listed = form()
    listed.by_list.setChecked(True)
    listed.list.setText("2019-10-12, 2020-13-33")
    listed.action_button.click()
    assert "“2020-13-33” is not a day" in listed.board.fields["first_frosts"].note.text
    frosts = (date(2019, 10, 12), date(2020, 11, 3))
    for typed in ("2019-10-12 2020-11-03", "12 Oct 2019, 3 nov 2020", "12/10/2019; 3/11/20"):
        listed = form()
        listed.by_list.setChecked(True)
        listed.list.setText(typed)
        listed.action_button.click()
        assert session.season.book.frost_dates[FROST_ID].first_frosts == frosts
    gone = form()
    assert gone.list.text() == "12 Oct 2019, 3 Nov 2020"
    assert gone.by_list.isChecked()
    gone.forget.setChecked(True)
    gone.action_button.click()
    assert session.season.book.frost_dates == {}
