"""Workbooks as a spreadsheet writes them, and workbooks made to harm."""

import tracemalloc
import zipfile
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.text_table.source import load
from ripenroom.records.refusal import Refusal

HOME = Home(ZoneInfo("Europe/Lisbon"), datetime(2026, 11, 20, tzinfo=UTC))
START = datetime(2026, 9, 13, 12, 0)  # noqa: DTZ001 - a spreadsheet knows no zone
NOON_S = int(datetime(2026, 9, 13, 11, 0, tzinfo=UTC).timestamp())

SHEET = "xl/worksheets/sheet1.xml"
HEAD = '<?xml version="1.0"?><worksheet xmlns="m"><sheetData>'
TAIL = "</sheetData></worksheet>"


def book(tmp_path: Path, *rows: list[object], mac: bool = False) -> Path:
    made = openpyxl.Workbook()
    if mac:
        made.epoch = CALENDAR_MAC_1904
    sheet = made.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    made.create_sheet("Notes").append(["nothing here"])
    made.save(tmp_path / "logger.xlsx")
    return tmp_path / "logger.xlsx"


def by_hand(tmp_path: Path, sheet: str | bytes, **parts: str) -> Path:
    path = tmp_path / "hand.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(SHEET, sheet)
        for name, text in parts.items():
            archive.writestr(f"xl/{name}.xml", text)
    return path


@pytest.mark.parametrize("mac", [False, True])
def test_typed_dates_are_read(tmp_path: Path, mac: bool) -> None:
    rows: list[list[object]] = [["Logger 7"], [], ["When", "Probe (°C)", "Humidity (%)"]]
    rows += [[START + timedelta(minutes=10 * n), 4.0 + n / 4, 60] for n in range(5)]
    found = read(load(book(tmp_path, *rows, mac=mac)), HOME)
    (series,) = found.series
    assert series.times_s.tolist() == [NOON_S + 600 * n for n in range(5)]
    assert series.celsius.tolist() == [4.0, 4.25, 4.5, 4.75, 5.0]
    assert (series.probe, found.first_line) == ("Probe (°C)", 4)


def test_dates_and_times_of_day_in_two_columns(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Day", "Clock", "Air"]]
    rows += [[date(2026, 9, 13), time(12, 10 * n), 4.0 + n / 4] for n in range(5)]
    (series,) = read(load(book(tmp_path, *rows)), HOME).series
    assert series.times_s.tolist() == [NOON_S + 600 * n for n in range(5)]


def test_texts_are_read_like_any_text(tmp_path: Path) -> None:
    rows: list[list[object]] = [["When", "Air"]]
    rows += [[f"13.09.2026 12:{10 * n:02}", f"{4 + n},5 °C"] for n in range(5)]
    (series,) = read(load(book(tmp_path, *rows)), HOME).series
    assert series.celsius.tolist() == [4.5, 5.5, 6.5, 7.5, 8.5]


def test_the_largest_sheet_is_taken(tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    data = made.create_sheet("Data")
    for n in range(20):
        data.append([START + timedelta(minutes=n), 4.0])
    made.save(tmp_path / "logger.xlsx")
    (series,) = read(load(tmp_path / "logger.xlsx"), HOME).series
    assert series.times_s.size == 20


def refused_within(path: Path, most_bytes: int) -> str:
    tracemalloc.start()
    with pytest.raises(Refusal) as caught:
        read(load(path), HOME)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < most_bytes
    return caught.value.message


def test_a_sheet_that_swells_is_refused_unread(tmp_path: Path) -> None:
    path = by_hand(tmp_path, HEAD + "<row><c><v>1</v></c></row>" * 3_000_000 + TAIL)
    assert "far more than such a table fills" in refused_within(path, 2_000_000)


def test_one_endless_row_takes_no_memory(tmp_path: Path) -> None:
    noise = "".join(f"<c><v>{n * 7919 % 9973}</v></c>" for n in range(200_000))
    path = by_hand(tmp_path, f"{HEAD}<row>{noise}</row>{TAIL}")
    refused_within(path, 8_000_000)


def test_entities_are_not_followed(tmp_path: Path) -> None:
    bomb = '<!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
    sheet = HEAD.replace("<worksheet", bomb + "<worksheet")
    path = by_hand(tmp_path, f"{sheet}<row><c t='str'><v>&b;</v></c></row>{TAIL}")
    assert "damaged" in refused_within(path, 2_000_000)


def test_a_text_that_many_cells_share_cannot_swell(tmp_path: Path) -> None:
    shared = f"<sst><si><t>{'x' * 100_000}</t></si></sst>"
    cells = "<c t='s'><v>0</v></c>" * 200
    rows = "".join(f"<row r='{n}' spans='{n * 37 % 9973}'>{cells}</row>" for n in range(1, 3000))
    path = by_hand(tmp_path, HEAD + rows + TAIL, sharedStrings=shared)
    refused_within(path, 260_000_000)


def test_a_row_number_out_of_this_world_is_refused(tmp_path: Path) -> None:
    path = by_hand(tmp_path, f"{HEAD}<row r='99999999'><c><v>1</v></c></row>{TAIL}")
    assert "more than" in refused_within(path, 2_000_000)


@pytest.mark.parametrize("sheet", ["", "<a>", "\0\0\0", HEAD, "<a/>", HEAD + TAIL])
def test_a_broken_sheet_is_refused(tmp_path: Path, sheet: str) -> None:
    refused_within(by_hand(tmp_path, sheet), 2_000_000)


def test_a_cut_off_or_bent_workbook_is_refused_or_read(tmp_path: Path) -> None:
    rows: list[list[object]] = [[START + timedelta(minutes=n), n / 10] for n in range(30)]
    whole = book(tmp_path, *rows).read_bytes()
    path = tmp_path / "bent.xlsx"
    for where in range(0, len(whole), 61):
        path.write_bytes(whole[:where])
        with pytest.raises(Refusal):
            load(path)
        bent = bytearray(whole)
        bent[where] ^= 0x5A
        path.write_bytes(bytes(bent))
        try:
            read(load(path), HOME)
        except Refusal:
            continue
