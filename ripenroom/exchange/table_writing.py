"""Tables as CSV files and workbooks that spreadsheets open without doing anything but show them."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ripenroom.private_file import private_file, private_folder, require_no_season

if TYPE_CHECKING:
    import pandas as pd


# Unicode's spaces and what is not seen at all (Zs, Cf): readers drop either before they look.
_BLANK = (
    r"[ \u00a0\u00ad\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2\u1680\u180e\u2000-\u200f"
    r"\u2028-\u202f\u205f-\u2064\u2066-\u206f\u3000\ufeff\ufff9-\ufffb\U000110bd\U000110cd"
    r"\U00013430-\U0001343f\U0001bca0-\U0001bca3\U0001d173-\U0001d17a"
    r"\U000e0001\U000e0020-\U000e007f]"
)
_SIGN = r"[=+\-@＝＋－＠\ufe62\ufe63\ufe66]"
_RISKY = re.compile(rf"^(?=[\t\r\n])|(?:^|[;|\t\r\n]){_BLANK}*(?={_SIGN})")
"""Where a spreadsheet may take for a formula what follows.

At the beginning of a cell, full-width and small signs as well as plain ones, and after what
another reader takes for the end of a cell: where lists are separated by semicolons, a file with
commas is cut at these (OWASP, "CSV Injection", which leaves the full-width signs to Excel in
Japanese).
"""

_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
"""What is a number as it stands, such as -0.50, is no formula."""


def write_csv(table: "pd.DataFrame", path: Path) -> None:
    """Write a table as UTF-8 CSV for computers: commas, decimal points, no formula in any cell."""
    import pandas as pd

    cells = [[plain_cell(c) for c in row] for row in table.itertuples(index=False, name=None)]
    # As they are: by themselves whole numbers beside an empty cell would become 9.0.
    safe = pd.DataFrame(cells, columns=[plain_cell(c) for c in table.columns], dtype=object)
    # Not by pandas itself: it would squeeze a file whose name ends in .zip or .gz.
    text = safe.to_csv(index=False, lineterminator="\n")
    with private_file(path) as unfinished:
        unfinished.write_text(text, encoding="utf-8", newline="")


def write_csv_folder(tables: "Mapping[str, pd.DataFrame]", folder: Path) -> None:
    """Write every table as a CSV file of its name into a folder, which is made if it is missing.

    Nothing is written where one of the names is a season's.
    """
    private_folder(folder)
    paths = {name: folder / f"{name}.csv" for name in tables}
    for path in paths.values():
        require_no_season(path)
    for name, table in tables.items():
        write_csv(table, paths[name])


def plain_cell(cell: object) -> object:
    """A cell without what a spreadsheet would run; ``=1+1`` is shown with an apostrophe."""
    if not isinstance(cell, str) or _NUMBER.fullmatch(cell):
        return cell
    return _RISKY.sub(r"\g<0>'", cell)


_FORBIDDEN_IN_TITLE = re.compile(r"[\[\]:*?/\\]")
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LONGEST_TEXT = 32_767
"""A cell of a spreadsheet holds no more characters."""


def write_workbook(tables: "Mapping[str, pd.DataFrame]", path: Path) -> None:
    """Write every table on a sheet of its name; texts stay texts, whatever they begin with."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    for sheet in book.worksheets:
        book.remove(sheet)
    for name, table in tables.items():
        sheet = book.create_sheet(_FORBIDDEN_IN_TITLE.sub(" ", name)[:31])
        sheet.freeze_panes = "A2"
        rows = [tuple(table.columns), *table.itertuples(index=False, name=None)]
        for line, row in enumerate(rows, start=1):
            for column, value in enumerate(map(_plain, row), start=1):
                cell = sheet.cell(line, column)
                cell.value = value
                if isinstance(value, str):
                    cell.data_type = "s"  # not a formula, even if it begins with "="
        for cell in sheet[1]:
            cell.font = Font(bold=True)
    with private_file(path) as unfinished:
        book.save(unfinished)


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return _NOT_IN_XML.sub("", value)[:_LONGEST_TEXT]
    # pandas gives a missing number as nan, of which a spreadsheet knows nothing.
    return None if value is None or value != value else value
