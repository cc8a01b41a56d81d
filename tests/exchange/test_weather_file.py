"""Files of stations, services and loggers: which days were read, filled, left open and left out."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import ReadDoubt
from ripenroom.exchange.text_table.source import TableSource
from ripenroom.exchange.weather_file import WeatherColumns, WeatherFound, read_weather
from ripenroom.records.refusal import Refusal

NEW_YORK = ZoneInfo("America/New_York")
NOW = datetime(2026, 10, 1, 12, tzinfo=NEW_YORK)


def read(text: str, columns: WeatherColumns | None = None) -> WeatherFound:
    return read_weather(
        TableSource("a.csv", "utf-8", text.splitlines()), Home(NEW_YORK, NOW), None, columns
    )


STATION = """STATION,NAME,DATE,PRCP,TMAX,TMIN
X1,"TOWN, A",2026-04-01,0.0,61,41
X1,"TOWN, A",2026-04-02,0.3,64,43
X1,"TOWN, A",2026-04-05,0.0,70,49
X1,"TOWN, A",2026-04-20,0.0,,50
X1,"TOWN, A",2026-04-21,0.0,74,52
"""


def test_a_stations_file_is_read_and_short_gaps_are_filled() -> None:
    found = read(STATION)
    assert (found.columns.coldest, found.columns.warmest, found.unit) == ("TMIN", "TMAX", "F")
    days = {day.on: day for day in found.days}
    assert days[date(2026, 4, 1)].min_c == pytest.approx((41 - 32) / 1.8, abs=0.01)
    assert days[date(2026, 4, 1)].max_c == pytest.approx((61 - 32) / 1.8, abs=0.01)
    assert found.filled == (date(2026, 4, 3), date(2026, 4, 4))
    third = days[date(2026, 4, 3)]
    assert third.source == "filled"
    assert third.max_c == pytest.approx((66 - 32) / 1.8, abs=0.01)
    # The 20th has no warmest, so the gap is open until the 21st.
    assert found.open_gaps == ((date(2026, 4, 6), date(2026, 4, 20)),)
    assert days[date(2026, 4, 21)].source == "read"


def test_semicolons_commas_and_words_of_another_language() -> None:
    found = read(
        "Datum;Tiefstwert (°C);Höchstwert (°C)\n"
        "01.09.2026;9,4;21,0\n02.09.2026;10,0;22,5\n14.09.2026;8,1;19,9\n"
    )
    assert [day.on.day for day in found.days][:2] == [1, 2]
    assert found.days[0].min_c == 9.4
    assert found.days[0].max_c == 21.0
    assert found.doubts == frozenset()


def test_days_ahead_are_a_forecast() -> None:
    found = read("date,min C,max C\n2026-09-30,6,15\n2026-10-01,5,14\n2026-10-02,-1,9\n")
    assert [day.source for day in found.days] == ["read", "read", "forecast"]


def test_readings_through_the_day_are_searched_for_coldest_and_warmest() -> None:
    start = datetime(2026, 9, 1, tzinfo=NEW_YORK)
    lines = ["time,Temperature (C)"]
    for hour in range(24 * 4 + 7):
        at = start + timedelta(hours=hour)
        lines.append(f"{at:%Y-%m-%d %H:%M},{15 + 6 * (1 - abs(at.hour - 15) / 12):.1f}")
    found = read("\n".join(lines))
    assert found.through_the_day
    assert [day.on.day for day in found.days] == [1, 2, 3, 4]
    assert {day.max_c for day in found.days} == {21.0}
    assert found.unsound == (date(2026, 9, 5),)


def test_midnight_of_utc_is_the_day_that_stands_in_the_file() -> None:
    lines = ["time,tmin (C),tmax (C)"]
    lines += [f"{datetime(2026, 7, d, tzinfo=UTC).isoformat()},11,25" for d in range(1, 5)]
    assert [day.on.day for day in read("\n".join(lines)).days] == [1, 2, 3, 4]


def test_a_day_whose_warmest_is_colder_is_left_out() -> None:
    found = read("date,min C,max C\n2026-09-01,6,15\n2026-09-02,16,3\n2026-09-03,6,15\n")
    assert found.unsound == (date(2026, 9, 2),)
    assert found.filled == (date(2026, 9, 2),)


def test_two_columns_without_names_are_told_by_their_values() -> None:
    found = read("2026-09-01,15.0,6.0\n2026-09-02,14.5,6.5\n2026-09-03,14.0,5.5\n")
    assert (found.days[0].min_c, found.days[0].max_c) == (6.0, 15.0)


def test_what_cannot_be_told_is_asked() -> None:
    many = "date,a,b,c\n" + "\n".join(f"2026-09-0{d},1{d},2{d},1.5" for d in (1, 2, 3))
    with pytest.raises(Refusal, match="Say which of them hold the coldest"):
        read(many)
    found = read(many, WeatherColumns("A", "b"))
    assert (found.days[0].min_c, found.days[0].max_c) == (11.0, 21.0)
    with pytest.raises(Refusal, match="No column with temperatures is called “d”"):
        read(many, WeatherColumns("a", "d"))
    with pytest.raises(Refusal, match="one temperature a day"):
        read("date,mean temp C\n2026-09-01,12\n2026-09-02,13\n")


def test_doubts_of_dates_and_units_are_told() -> None:
    found = read("date,low,high\n01/02/2026,38,44\n02/03/2026,39,47\n03/04/2026,37,45\n")
    assert found.doubts == {ReadDoubt.DATE_ORDER, ReadDoubt.UNIT}


@pytest.mark.parametrize(
    "text",
    [
        "year,month,day,tmax,tmin\n2026,7,1,31,18\n2026,7,2,30,17\n2026,7,3,29,16\n",
        "Jahr;Monat;Tag;Max;Min\n2026;7;1;31,0;18,0\n2026;7;2;30;17\n2026;7;3;29;16\n",
        "lat 39\nyear,yday,prcp (mm/day),tmax (deg c),tmin (deg c)\n2026,182,0,31,18\n"
        "2026,183,4,30,17\n2026,184,0,29,16\n",
        "ID;MESS_DATUM;TXK;TNK;TMK\n1;20260701;31;18;24\n1;20260702;30;17;23\n1;20260703;29;16;22\n",
    ],
)
def test_dates_in_several_columns_and_short_headings_are_read(text: str) -> None:
    found = read(text)
    assert [(day.on, day.min_c, day.max_c) for day in found.days] == [
        (date(2026, 7, 1), 18.0, 31.0),
        (date(2026, 7, 2), 17.0, 30.0),
        (date(2026, 7, 3), 16.0, 29.0),
    ]


def test_a_line_without_a_whole_date_is_left_out() -> None:
    found = read("year,month,day,tmax,tmin\n2026,7,1,31,18\n2026,13,2,30,17\n2026,7,3,29,16\n")
    assert [day.on.day for day in found.days] == [1, 2, 3]
    assert found.filled == (date(2026, 7, 2),)


def test_rain_snow_and_wind_do_not_tell_the_unit() -> None:
    """The layout of a national service's daily summaries, flags beside the figures."""
    found = read(
        '"STATION","DATE","WIND MAX","PRCP","SNWD","TMAX","TMAX_ATTRIBUTES","TMIN"\n'
        + "".join(f'"X","2026-07-0{d}",9,0,0,8{d},",,7",6{d}\n' for d in (1, 3, 2))
    )
    assert (found.columns.coldest, found.columns.warmest, found.unit) == ("TMIN", "TMAX", "F")
    assert found.doubts == frozenset()
    assert found.days[0].max_c == pytest.approx((81 - 32) / 1.8, abs=0.01)


def test_columns_the_wrong_way_round_and_an_empty_file_are_said() -> None:
    with pytest.raises(Refusal, match="“max” is colder than “min” on every day"):
        read("date,max,min\n2026-09-01,8,21\n2026-09-02,8,22\n2026-09-03,9,22\n")
    with pytest.raises(Refusal, match="is empty"):
        read("")


@pytest.mark.parametrize("first", [date(2025, 10, 31), date(2026, 3, 6)])
def test_a_clock_change_leaves_out_no_day(first: date) -> None:
    lines = ["time,Temp C"]
    lines += [
        f"{first + timedelta(days=n)} {hour:02}:00,{10 + hour}"
        for n in range(5)
        for hour in range(24)
    ]
    found = read("\n".join(lines))
    assert len(found.days) == 5
    assert {(day.min_c, day.max_c) for day in found.days} == {(10.0, 33.0)}
