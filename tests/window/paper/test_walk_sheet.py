"""The walk sheet for a pencil: the same lines and columns as the form."""

from pathlib import Path

from PySide6.QtGui import QPageSize, QTextDocument
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.walk import rows_to_walk
from ripenroom.window.forms.walk_sheet import WalkSheetDialog
from ripenroom.window.paper.output import print_rich_text, write_pdf
from ripenroom.window.paper.walk_sheet import walk_sheet_html
from ripenroom.window.session import Session


def test_its_lines_and_columns_are_those_of_the_form(qtbot: QtBot, session: Session) -> None:
    rows = rows_to_walk(session)
    document = QTextDocument()
    document.setHtml(walk_sheet_html(session, rows))
    text = document.toPlainText()
    form = WalkSheetDialog(session)
    qtbot.addWidget(form)
    assert [line.row for line in form.lines] == rows
    places = [text.index(row.name) for row in rows]
    assert places == sorted(places)
    heads = [cell.accessibleName().rpartition(": ")[2] for cell in form.lines[0].cells]
    at = [text.index(head) for head in heads]
    assert at == sorted(at)


def test_names_are_no_markup_and_the_sheet_prints(session: Session, tmp_path: Path) -> None:
    from dataclasses import replace

    rows = [replace(row, name=f"<b>{row.name}</b> & co") for row in rows_to_walk(session)]
    html = walk_sheet_html(session, rows * 6)
    document = QTextDocument()
    document.setHtml(html)
    assert "<b>Wall row</b> & co" in document.toPlainText()
    path = tmp_path / "walk.pdf"
    write_pdf(
        lambda device: print_rich_text(device, html, document.defaultFont()),
        QPageSize.PageSizeId.A4,
        path,
    )
    assert path.read_bytes().startswith(b"%PDF")
