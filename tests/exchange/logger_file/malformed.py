"""Files that no logger wrote, one per seed; run as a program, as many as are asked for."""

import sys
import tempfile
import zipfile
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    LoggerClock,
    Role,
    Understanding,
)
from ripenroom.exchange.text_table.source import load
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.records.refusal import Refusal
from ripenroom.records.temperature_series import pack, unpack

HOME = Home(ZoneInfo("Europe/Lisbon"), datetime(2026, 11, 20, tzinfo=UTC))

_START = datetime(2026, 3, 28, 20, 0, tzinfo=UTC)
_STAMPS = (
    "%d.%m.%Y %H:%M", "%m/%d/%Y %I:%M:%S %p", "%Y-%m-%dT%H:%M:%SZ", "%d/%m/%y;%H:%M", "%Y%m%d%H%M",
    "%d %b %Y %H.%M", "%s",
)  # fmt: skip
_TORN = (
    "\"", "\0", "\ufffd", "\r", ";;;;", "=1+1", "NaN", "1e999", "-1e-999", "99999999999999999999",
    "\u2028", "\x1a", "29/02/2026", "24:60", "12:00 PM", "00:00 AM", "-127", "85", "''", "\t\t",
    "٣٫٥", "1,234.5", "--", "+-3", "°", "0001-01-01", "9999-12-31", "Z", "+99:99", "2²", "½", "①",
)  # fmt: skip
_ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252", "utf-32", "latin-1")


def malformed(seed: int) -> bytes:
    """The bytes of one file: a table, torn and bent in some of a hundred ways."""
    random = np.random.default_rng(seed)
    kind = random.integers(8)
    if kind == 0:
        return random.bytes(int(random.integers(0, 3000)))
    separator = str(random.choice([";", ",", "\t", "|", " "]))
    text = _table(random, separator)
    letters = list(text)
    for _ in range(int(random.integers(0, 40))):
        where = int(random.integers(0, len(letters)))
        letters[where] = str(random.choice(_TORN))
    text = "".join(letters)
    if kind == 1:
        return _workbook(random, text, separator)
    if kind == 2:
        text = text[: int(random.integers(0, len(text)))]
    data = bytearray(text.encode(str(random.choice(_ENCODINGS)), errors="replace"))
    if kind == 3:
        for _ in range(int(random.integers(1, 30))):
            data[int(random.integers(0, len(data)))] = int(random.integers(0, 256))
    return bytes(data)


def _table(random: np.random.Generator, separator: str) -> str:
    stamp = str(random.choice(_STAMPS)).replace(";", separator)
    step = timedelta(seconds=float(random.choice([1.0, 60.0, 600.0, 86_400.0])))
    columns = int(random.integers(0, 5))
    comma = random.random() < 0.3
    lines = ["junk of a head"] * int(random.integers(0, 4))
    names = ("Temp °C", "Temp °F", "RH %", "", "probe")
    lines.append(separator.join(["time", *(str(random.choice(names)) for _ in range(columns))]))
    for n in range(int(random.integers(0, 60))):
        cells = [f"{random.normal(5.0, 3.0):.2f}" for _ in range(columns)]
        if comma:
            cells = [cell.replace(".", ",") for cell in cells]
        lines.append(separator.join([(_START + n * step).strftime(stamp), *cells]))
        if random.random() < 0.05:
            lines.append(lines[int(random.integers(0, len(lines)))])
    return str(random.choice(["\n", "\r\n", "\r"])).join(lines)


def _workbook(random: np.random.Generator, text: str, separator: str) -> bytes:
    kinds = ["", " t='s'", " t='str'", " t='inlineStr'", " s='1'", " t='d'", " t='?'"]
    rows = []
    for number, line in enumerate(text.split("\n"), 1):
        cells = "".join(
            f"<c r='{chr(65 + min(n, 25))}{number}'{random.choice(kinds)}><v>{cell}</v></c>"
            for n, cell in enumerate(line.split(separator))
        )
        rows.append(f"<row r='{number if random.random() < 0.9 else -1}'>{cells}</row>")
    whole = "<worksheet><sheetData>" + "".join(rows) + "</sheetData></worksheet>"
    if random.random() < 0.3:
        whole = whole.replace("&", "").replace("\0", "").replace("\x1a", "")
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", whole.encode(errors="replace"))
        if random.random() < 0.5:
            archive.writestr("xl/sharedStrings.xml", f"<sst><si><t>{text[:50]}</t></si></sst>")
    data = bytearray(buffer.getvalue())
    for _ in range(int(random.integers(0, 3))):
        data[int(random.integers(0, len(data)))] = int(random.integers(0, 256))
    return bytes(data)


def corrected(seed: int) -> Corrections:
    """What a user might choose, sensibly or not."""
    random = np.random.default_rng(seed + 10**9)
    if random.random() < 0.7:
        return Corrections()
    roles = list(Role)
    return Corrections(
        separator=[None, ";", ",", " "][random.integers(4)],
        date_order=[None, *DateOrder][random.integers(4)],
        clock=[None, *LoggerClock][random.integers(4)],
        unit=(None, "C", "F")[random.integers(3)],
        roles={
            int(random.integers(0, 6)): roles[random.integers(len(roles))]
            for _ in range(int(random.integers(0, 3)))
        },
    )


def try_one(path: Path, seed: int) -> Understanding | None:
    """Read the file of a seed; None if it was refused in words.

    Raises ``AssertionError`` for readings that are not sound, and whatever should not be raised.
    """
    path.write_bytes(malformed(seed))
    try:
        found = read(load(path), HOME, corrected(seed))
    except Refusal:
        return None
    for series in found.series:
        times, celsius = unpack(pack(series.times_s, series.celsius))
        assert times.tolist() == series.times_s.tolist()
        assert np.abs(celsius - series.celsius).max() <= 0.005 + 1e-9
    return found


def main(count: int) -> int:
    """Try so many files; the exit code."""
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "malformed"
        read_ones = sum(try_one(path, seed) is not None for seed in range(count))
    print(f"{count} malformed files: {read_ones} read, {count - read_ones} refused, no other end")
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
