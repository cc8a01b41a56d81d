"""The card of a batch, rendered and looked at."""

from pathlib import Path

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QImage, QPageSize, QPainter

from ripenroom.records.refusal import Refusal
from ripenroom.window.paper.batch_card import paint_card, print_card
from ripenroom.window.paper.output import lines_of, usual_paper, write_pdf
from ripenroom.window.session import Session

A4_MM, LETTER_MM = (210.0, 297.0), (215.9, 279.4)


def painted(session: Session, batch_id: str, paper_mm: tuple[float, float]) -> QImage:
    scale = 4
    image = QImage(
        round(paper_mm[0] * scale), round(paper_mm[1] * scale), QImage.Format.Format_RGB32
    )
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.scale(scale, scale)
    area = QRectF(16, 16, paper_mm[0] - 32, paper_mm[1] - 32)
    paint_card(painter, area, session, batch_id, QFont())
    painter.end()
    return image


@pytest.mark.parametrize("paper_mm", [A4_MM, LETTER_MM])
def test_every_batch_has_a_card_that_keeps_its_margins(
    session: Session, paper_mm: tuple[float, float]
) -> None:
    for batch_id in list(session.season.book.batches)[::9]:
        image = painted(session, batch_id, paper_mm)
        columns, rows = image.width(), image.height()
        edge = 4 * 11
        dark = [
            (x, y)
            for y in range(0, rows, 3)
            for x in range(0, columns, 3)
            if image.pixelColor(x, y).lightness() < 128
        ]
        assert len(dark) > 500
        assert all(edge < x < columns - edge and edge < y < rows - edge for x, y in dark)


def test_long_texts_are_broken_between_words(session: Session) -> None:
    text = "one two three four five six seven eight nine ten eleven twelve"
    lines = lines_of(text, 40.0, 6.0, QFont(), bold=True)
    assert len(lines) > 2
    assert " ".join(lines) == text
    assert lines_of("short", 40.0, 6.0, QFont(), bold=False) == ["short"]


def test_a_card_becomes_a_pdf_or_says_why_not(session: Session, tmp_path: Path) -> None:
    batch_id = next(iter(session.season.book.batches))
    path = tmp_path / "card.pdf"
    write_pdf(
        lambda device: print_card(device, session, batch_id, QFont()), usual_paper(session), path
    )
    assert path.read_bytes().startswith(b"%PDF-")
    assert usual_paper(session) == QPageSize.PageSizeId.A4
    with pytest.raises(Refusal):
        write_pdf(lambda _device: None, QPageSize.PageSizeId.A4, tmp_path / "no" / "card.pdf")
