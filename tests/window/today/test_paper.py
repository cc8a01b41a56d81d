"""The day page on paper."""

from pathlib import Path

import pytest
from PySide6.QtGui import QFont, QPageSize, QPdfWriter
from pytestqt.qtbot import QtBot

from ripenroom.window.session import Session
from ripenroom.window.today.page import print_on
from ripenroom.wording.today.page import day_page
from tests.window.planned import planned, sheet_of


@pytest.mark.parametrize("size", [QPageSize.PageSizeId.A4, QPageSize.PageSizeId.Letter])
def test_the_page_prints_to_pdf(
    qtbot: QtBot, session: Session, tmp_path: Path, size: QPageSize.PageSizeId
) -> None:
    planned(qtbot, session)
    path = tmp_path / "today.pdf"
    writer = QPdfWriter(str(path))
    writer.setPageSize(QPageSize(size))
    print_on(writer, day_page(session, sheet_of(session)), session, QFont())
    del writer
    data = path.read_bytes()
    assert data.startswith(b"%PDF")
    assert data.rstrip().endswith(b"%%EOF")
    pages = data.count(b"/Type /Page\n") or data.count(b"/Type /Page")
    assert 1 <= pages <= 4
