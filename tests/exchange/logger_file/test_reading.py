"""Files as loggers write them, and what is made of them."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.exchange.logger_file.layout import find_layout
from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.rows import read_rows
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    Fault,
    LoggerClock,
    ReadDoubt,
    Role,
    Stamp,
    Understanding,
)
from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.exchange.text_table.source import load
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.records.refusal import Refusal

LISBON = Home(ZoneInfo("Europe/Lisbon"), datetime(2026, 11, 20, tzinfo=UTC))
OHIO = Home(ZoneInfo("America/New_York"), datetime(2026, 11, 20, tzinfo=UTC), month_first=True)

NOON = datetime(2026, 9, 13, 11, 0, tzinfo=UTC)  # 12:00 in Lisbon
VALUES_C = [4.1, 4.25, 4.5, 5.0, 4.75]
TIMES = [NOON + timedelta(minutes=10 * n) for n in range(5)]


def understood(
    tmp_path: Path,
    text: str | bytes,
    home: Home = LISBON,
    corrections: Corrections | None = None,
) -> Understanding:
    path = tmp_path / "logger.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read(load(path), home, corrections)


def moments(found: Understanding, which: int = 0) -> list[datetime]:
    return [datetime.fromtimestamp(s, UTC) for s in found.series[which].times_s.tolist()]


def celsius(found: Understanding, which: int = 0) -> list[float]:
    return [round(c, 2) for c in found.series[which].celsius.tolist()]


DIALECTS = {
    "plain": "time,temperature\n" + "".join(
        f"2026-09-13 12:{10 * n:02}:00,{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "german": "Datum;Uhrzeit;Kanal 1 [°C];Feuchte [%]\n" + "".join(
        f"13.09.2026;12:{10 * n:02}:00;{c};61,0\n".replace(".0;", ".0;").replace(
            str(c), str(c).replace(".", ",")
        )
        for n, c in enumerate(VALUES_C)
    ),
    "tabs, no heading": "".join(
        f"13/09/2026 12:{10 * n:02}\t{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "american": '"#","Date Time, GMT+01:00","Temp, °F (SEN 1)"\n' + "".join(
        f'{n + 1},"09/13/26 12:{10 * n:02}:00 PM",{c * 1.8 + 32:.3f}\n'
        for n, c in enumerate(VALUES_C)
    ),
    "iso with zone": "timestamp|celsius\n" + "".join(
        f"2026-09-13T13:{10 * n:02}:00+02:00|{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "iso in UTC": "timestamp,temp\n" + "".join(
        f"2026-09-13T11:{10 * n:02}:00.000Z,{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "epoch seconds": "ts,humidity,probe\n" + "".join(
        f"{int(t.timestamp())},70.1,{c}\n" for t, c in zip(TIMES, VALUES_C, strict=True)
    ),
    "epoch milliseconds": "ts,probe\n" + "".join(
        f"{int(t.timestamp() * 1000)},{c}\n" for t, c in zip(TIMES, VALUES_C, strict=True)
    ),
    "spreadsheet days": "when,probe\n" + "".join(
        f"{46278.5 + n * 10 / 1440:.9f},{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "junk above and below": (
        "Report of logger 778-A\nExported 2026-09-14 08:00\nOwner: me, myself\n\n"
        "No.;Time;Temperature;Humidity\n;;°C;%RH\n"
        + "".join(f"{n + 1};13.09.2026 12:{10 * n:02};{c};55\n" for n, c in enumerate(VALUES_C))
        + "\nEnd of report\nMean: 4,52\n"
    ),
    "months by name": "when;T (°C)\n" + "".join(
        f"13 Sep 2026 12:{10 * n:02};{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "spaces": "date time temp_C\n" + "".join(
        f"2026-09-13 12:{10 * n:02}:00 {c}\n" for n, c in enumerate(VALUES_C)
    ),
    "units in the cells": "time;air\n" + "".join(
        f"13.09.2026 12:{10 * n:02};{c} °C\n" for n, c in enumerate(VALUES_C)
    ),
    "sep line": "sep=;\ntime;t\n" + "".join(
        f"13.09.2026 12:{10 * n:02};{c}\n" for n, c in enumerate(VALUES_C)
    ),
    "newest first": "time;t\n" + "".join(
        f"13.09.2026 12:{10 * n:02};{c}\n" for n, c in reversed(list(enumerate(VALUES_C)))
    ),
    "compact": "time,t\n" + "".join(
        f"20260913T12{10 * n:02}00,{c}\n" for n, c in enumerate(VALUES_C)
    ),
}  # fmt: skip


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_dialect_is_understood(tmp_path: Path, dialect: str) -> None:
    found = understood(tmp_path, DIALECTS[dialect])
    assert [moments(found), celsius(found)] == [TIMES, VALUES_C]
    assert not found.doubts
    assert len(found.series) == 1


@pytest.mark.parametrize(
    "encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"]
)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_an_encoding_is_understood(tmp_path: Path, encoding: str, end: str) -> None:
    text = DIALECTS["german"].replace("\n", end)
    found = understood(tmp_path, text.encode(encoding))
    assert [moments(found), celsius(found)] == [TIMES, VALUES_C]
    assert found.columns[2].heading == "Kanal 1 [°C]"


# Dates


def days(*texts: str) -> str:
    rows = (f"{text} 12:{n % 60:02},4.0" for text in texts for n in range(0, 60, 20))
    return "time,temp °C\n" + "\n".join(rows) + "\n"


def test_a_day_above_twelve_settles_the_order(tmp_path: Path) -> None:
    found = understood(tmp_path, days("09/12/2026", "09/13/2026"))
    assert (found.date_order, found.doubts) == (DateOrder.MONTH_DAY_YEAR, frozenset())


def test_days_in_a_row_settle_the_order(tmp_path: Path) -> None:
    found = understood(tmp_path, days("03/09/2026", "04/09/2026", "05/09/2026"))
    assert (found.date_order, found.doubts) == (DateOrder.DAY_MONTH_YEAR, frozenset())
    found = understood(tmp_path, days("09/03/2026", "09/04/2026", "09/05/2026"))
    assert (found.date_order, found.doubts) == (DateOrder.MONTH_DAY_YEAR, frozenset())


def test_a_date_that_lies_ahead_is_not_meant(tmp_path: Path) -> None:
    found = understood(tmp_path, days("10/12/2026"))  # it is 20 November
    assert (found.date_order, found.doubts) == (DateOrder.MONTH_DAY_YEAR, frozenset())


def test_what_the_file_cannot_settle_is_asked(tmp_path: Path) -> None:
    text = days("03/04/2026")
    found = understood(tmp_path, text)
    assert (found.date_order, found.doubts) == (
        DateOrder.DAY_MONTH_YEAR,
        frozenset({ReadDoubt.DATE_ORDER}),
    )
    assert understood(tmp_path, text, OHIO).date_order is DateOrder.MONTH_DAY_YEAR
    told = understood(tmp_path, text, corrections=Corrections(date_order=DateOrder.MONTH_DAY_YEAR))
    assert not told.doubts
    assert moments(told)[0] == datetime(2026, 3, 4, 12, tzinfo=UTC)
    assert dict(zip(told.date_orders, told.date_days, strict=True)) == {
        DateOrder.DAY_MONTH_YEAR: date(2026, 4, 3),
        DateOrder.MONTH_DAY_YEAR: date(2026, 3, 4),
    }
    # A date that reads the same either way is no example.
    both = understood(tmp_path, days("03/03/2026", "03/04/2026"))
    assert date(2026, 4, 3) in both.date_days


def test_a_date_that_reads_the_same_either_way_is_not_asked(tmp_path: Path) -> None:
    assert not understood(tmp_path, days("05/05/2026")).doubts


def test_one_slip_does_not_overturn_the_order(tmp_path: Path) -> None:
    found = understood(tmp_path, days("12/09/2026", "13/09/2026", "31/02/2026", "14/09/2026"))
    assert found.date_order is DateOrder.DAY_MONTH_YEAR
    assert [(gone.fault, gone.count) for gone in found.left_out] == [(Fault.NO_TIME, 3)]


# Units


def values(heading: str, *numbers: float) -> str:
    rows = (f"2026-09-13 12:{n:02},{value}" for n, value in enumerate(numbers))
    return f"time,{heading}\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    ("text", "unit", "asked"),
    [
        (values("T", 3.5, 4.0, 4.5), "C", False),
        (values("T", 68.0, 70.0, 71.0), "F", False),
        (values("T", 36.0, 37.5, 38.0), "C", True),
        (values("T", 41.0, 42.0, 43.0), "F", True),
        (values("Temp (°F)", 20.0, 21.0, 22.0), "F", False),
        (values("Temp_C", 36.0, 37.0, 38.0), "C", False),
        ("Unit: Fahrenheit\n" + values("T", 38.0, 39.0, 40.0), "F", False),
    ],
)
def test_units(tmp_path: Path, text: str, unit: str, asked: bool) -> None:
    found = understood(tmp_path, text)
    assert (found.unit, ReadDoubt.UNIT in found.doubts) == (unit, asked)


def test_a_corrected_unit_is_taken(tmp_path: Path) -> None:
    text = values("T", 36.0, 37.0, 38.0)
    found = understood(tmp_path, text, corrections=Corrections(unit="F"))
    assert celsius(found) == [2.22, 2.78, 3.33]
    assert not found.doubts


def test_the_same_in_both_units_is_taken_once(tmp_path: Path) -> None:
    rows = "".join(f"2026-09-13 12:{n:02},{c * 1.8 + 32},{c}\n" for n, c in enumerate(VALUES_C))
    found = understood(tmp_path, "time,Temp °F,Temp °C\n" + rows)
    assert [(s.column, s.probe) for s in found.series] == [(2, "Temp °C")]
    assert celsius(found) == VALUES_C


# Probes and other columns


def test_several_probes(tmp_path: Path) -> None:
    text = "time;Fridge;Cellar;RH;Battery V\n" + "".join(
        f"13.09.2026 12:{n:02};{4 + n / 10};{13 + n / 10};{60 + n};3.1\n" for n in range(5)
    )
    found = understood(tmp_path, text)
    assert [s.probe for s in found.series] == ["Fridge", "Cellar"]
    assert celsius(found, 1) == [13.0, 13.1, 13.2, 13.3, 13.4]
    roles = [column.role for column in found.columns]
    assert roles == [Role.MOMENT, Role.TEMPERATURE, Role.TEMPERATURE, Role.LEFT_OUT, Role.LEFT_OUT]


def test_columns_can_be_chosen_otherwise(tmp_path: Path) -> None:
    text = "time;a;b\n" + "".join(f"13.09.2026 12:{n:02};{n}.5;{20 + n}.5\n" for n in range(5))
    roles = {1: Role.LEFT_OUT, 2: Role.TEMPERATURE}
    found = understood(tmp_path, text, corrections=Corrections(roles=roles))
    assert [s.probe for s in found.series] == ["b"]
    none = Corrections(roles={1: Role.LEFT_OUT, 2: Role.LEFT_OUT})
    with pytest.raises(Refusal, match="column with temperatures"):
        understood(tmp_path, text, corrections=none)
    for role, words in ((Role.CLOCK, "No line has a time"), (Role.LEFT_OUT, "Times need")):
        with pytest.raises(Refusal, match=words) as caught:
            understood(tmp_path, text, corrections=Corrections(roles={0: role}))
        assert caught.value.field == "roles"


# What is left out


def test_faults_are_left_out_and_named_by_line(tmp_path: Path) -> None:
    text = (
        "time,temp\n"  # line 1
        "2026-09-13 12:00,4.0\n"
        "2026-09-13 12:10,-127\n"
        "2026-09-13 12:20,85\n"
        "2026-09-13 12:30,ERR\n"
        "2026-09-13 12:40,\n"
        "2026-09-13 12:50,NaN\n"
        "2026-09-13 25:00,4.0\n"
        "2026-09-13 13:00,5.0\n"
        "2026-09-13 13:00,6.0\n"
        "\n"
        "logger was read out\n"
        f"2026-09-13 13:10,{'9' * 20_000}\n"
    )
    found = understood(tmp_path, text)
    assert celsius(found) == [4.0, 5.5]
    told = {gone.fault: gone.lines for gone in (*found.left_out, *found.series[0].left_out)}
    assert told == {
        Fault.SENSOR_FAULT: (3, 4, 5, 7),
        Fault.NO_VALUE: (6,),
        Fault.NO_TIME: (8,),
        Fault.SAME_TIME: (10,),
        Fault.NOT_A_ROW: (12, 13),
    }


def test_unsorted_lines_are_put_in_order(tmp_path: Path) -> None:
    lines = DIALECTS["plain"].splitlines()
    found = understood(tmp_path, "\n".join([lines[0], *lines[3:], *lines[1:3]]))
    assert [moments(found), celsius(found)] == [TIMES, VALUES_C]
    assert found.unsorted


# Clock changes


def night(day: str, *clocks: str) -> str:
    return "time;temp\n" + "".join(f"{day} {at};{n}.0\n" for n, at in enumerate(clocks))


def test_the_hour_that_comes_twice(tmp_path: Path) -> None:
    passes = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]  # Lisbon, 25 October 2026
    found = understood(tmp_path, night("25.10.2026", *passes))
    first = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)
    assert moments(found) == [first + timedelta(minutes=30 * n) for n in range(6)]
    assert found.repeated_hour


def test_the_hour_that_comes_twice_in_hourly_readings_newest_first(tmp_path: Path) -> None:
    passes = ["03:00", "02:00", "01:00", "01:00", "00:00"]
    found = understood(tmp_path, night("25.10.2026", *passes))
    first = datetime(2026, 10, 24, 23, tzinfo=UTC)
    assert moments(found) == [first + timedelta(hours=n) for n in range(5)]
    assert celsius(found) == [4.0, 3.0, 2.0, 1.0, 0.0]


def test_the_hour_that_is_skipped(tmp_path: Path) -> None:
    text = night("29.03.2026", "00:30", "01:30", "02:30")
    found = understood(tmp_path, text)
    assert [(gone.fault, gone.lines) for gone in found.left_out] == [(Fault.SKIPPED_HOUR, (3,))]
    assert moments(found) == [datetime(2026, 3, 29, h, 30, tzinfo=UTC) for h in (0, 1)]
    winter = Corrections(clock=LoggerClock.HOME_WINTER)
    kept = understood(tmp_path, text, corrections=winter)
    assert moments(kept) == [datetime(2026, 3, 29, h, 30, tzinfo=UTC) for h in (0, 1, 2)]


def test_a_clock_that_shows_utc(tmp_path: Path) -> None:
    found = understood(tmp_path, DIALECTS["plain"], corrections=Corrections(clock=LoggerClock.UTC))
    assert moments(found)[0] == NOON + timedelta(hours=1)


# No table


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\n\n\n",
        b"hello",
        b"a,b,c\n1,2,3\n",
        b"time,temp\n",
        b"2026-09-13 12:00\n2026-09-13 13:00\n",
        b"time,temp\n2026-09-13 12:00,ERR\n2026-09-13 12:10,ERR\n",
        b"time,temp\n2026-09-13 12:00,-127\n2026-09-13 12:10,-127\n",
        bytes(range(256)) * 40,
        b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old office",
        b"PK\x03\x04 no zip",
    ],
)
def test_what_is_no_table_is_refused(tmp_path: Path, text: bytes) -> None:
    with pytest.raises(Refusal):
        understood(tmp_path, text)


def test_stamps_are_told(tmp_path: Path) -> None:
    assert understood(tmp_path, DIALECTS["epoch seconds"]).stamp is Stamp.EPOCH_SECONDS
    assert understood(tmp_path, DIALECTS["epoch seconds"]).offset_told
    assert not understood(tmp_path, DIALECTS["plain"]).offset_told
    assert understood(tmp_path, DIALECTS["german"]).decimal_comma
    assert np.diff(understood(tmp_path, DIALECTS["plain"]).series[0].times_s).tolist() == [600] * 4


def test_a_row_takes_up_few_bytes(tmp_path: Path) -> None:
    """Of two million rows each number counts."""
    path = tmp_path / "probe.csv"
    rows = (f"2026-09-14 {n // 3600:02}:{n // 60 % 60:02}:{n % 60:02};7.5\n" for n in range(5_000))
    path.write_text("time;air °C\n" + "".join(rows), "utf-8")
    source = load(path)
    found = read_rows(source, find_layout(source, Corrections()), ReadProgress())
    columns = (found.line, found.day, found.second, found.offset_s, found.values)
    assert found.line.size == 5_000
    assert sum(column.size * column.itemsize for column in columns) <= 24 * 5_000
