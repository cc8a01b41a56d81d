"""Tables as one spreadsheet file (Office Open XML), a sheet for each; no cell is a formula."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ripenroom.private_file import private_file

if TYPE_CHECKING:
    import pandas as pd

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
