"""The day page on paper."""

from pathlib import Path

from PySide6.QtGui import QFont, QPageSize, QPdfWriter

from ripenroom.window.session import Session
from ripenroom.window.today.content import day_page
from ripenroom.window.today.paper import print_on


def test_the_page_prints_to_pdf(session: Session, tmp_path: Path) -> None:
    path = tmp_path / "today.pdf"
    writer = QPdfWriter(str(path))
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    print_on(writer, day_page(session), session, QFont())
    del writer
    data = path.read_bytes()
    assert data.startswith(b"%PDF")
    assert data.rstrip().endswith(b"%%EOF")
    pages = data.count(b"/Type /Page\n") or data.count(b"/Type /Page")
    assert 1 <= pages <= 4
