"""Crate labels on paper: rendered to pictures and looked at, module by module."""

import math
from pathlib import Path

import pytest
from PySide6.QtCore import QRectF, QSizeF, Qt
from PySide6.QtGui import QFont, QImage, QPageSize, QPainter, QPdfWriter

from ripenroom.window.paper.labels import (
    SHEETS,
    CrateLabel,
    LabelSheet,
    labels_of,
    paint_label,
    print_labels,
    repeated,
)
from ripenroom.window.paper.output import QUIET_MODULES, modules, paint_qr
from ripenroom.window.session import Session
from tests.draws import one_in

LABEL = CrateLabel("P-0914-2", ("Pawpaw · Early pawpaws", "Eat 3–9 Oct", "Picked Mon 14 Sep"))


def white(width: int, height: int) -> QImage:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    return image


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.key)
def test_labels_lie_on_the_paper_side_by_side(sheet: LabelSheet) -> None:
    paper = QPageSize(sheet.paper).rect(QPageSize.Unit.Millimeter)
    places = [sheet.place_mm(number) for number in range(sheet.labels)]
    assert all(paper.contains(place) for place in places)
    for number, place in enumerate(places):
        shrunk = place.adjusted(0.01, 0.01, -0.01, -0.01)
        assert not any(shrunk.intersects(other) for other in places[:number])
    # The sheet is as good as symmetric: what is left on the left is left on the right.
    assert abs(places[0].left() - (paper.width() - places[-1].right())) < 2.0
    assert abs(places[0].top() - (paper.height() - places[-1].bottom())) < 3.0


def test_the_code_is_painted_module_by_module(qapp: object) -> None:
    rows = modules("P-0914-2")
    size = len(rows) + 2 * QUIET_MODULES
    step = 6
    image = white(size * step, size * step)
    painter = QPainter(image)
    paint_qr(painter, QRectF(0, 0, size * step, size * step), "P-0914-2")
    painter.end()
    for y in range(size):
        for x in range(size):
            dark = image.pixelColor(x * step + step // 2, y * step + step // 2).lightness() < 128
            inside = (
                QUIET_MODULES <= x < size - QUIET_MODULES
                and QUIET_MODULES <= y < size - QUIET_MODULES
            )
            assert dark == (inside and rows[y - QUIET_MODULES][x - QUIET_MODULES]), (x, y)


@pytest.mark.parametrize("sheet", one_in(3, SHEETS), ids=lambda sheet: sheet.key)
@pytest.mark.parametrize("code", ["P-0914-2", "P-0914-12b", "W" * 60])
def test_nothing_is_painted_outside_a_label(sheet: LabelSheet, code: str, qapp: object) -> None:
    scale, edge = 10, 30
    width, height = round(sheet.width_mm * scale), round(sheet.height_mm * scale)
    image = white(width + 2 * edge, height + 2 * edge)
    painter = QPainter(image)
    painter.translate(edge, edge)
    painter.scale(scale, scale)
    label = CrateLabel(code, ("x" * 200, *LABEL.lines))
    paint_label(painter, QSizeF(sheet.width_mm, sheet.height_mm), label, QFont())
    painter.end()
    dark = [
        (x, y)
        for y in range(0, image.height(), 2)
        for x in range(0, image.width(), 2)
        if image.pixelColor(x, y).lightness() < 128
    ]
    assert dark
    margin = 10  # a millimetre
    assert min(x for x, _ in dark) >= edge + margin
    assert max(x for x, _ in dark) <= edge + width - margin
    assert min(y for _, y in dark) >= edge + margin
    assert max(y for _, y in dark) <= edge + height - margin


def test_labels_go_on_where_the_used_part_of_a_sheet_ends(tmp_path: Path, qapp: object) -> None:
    [sheet] = [s for s in SHEETS if s.key == "a4-21"]
    for count, first, pages in ((1, 0, 1), (21, 0, 1), (22, 0, 2), (2, 20, 2), (0, 0, 0)):
        writer = QPdfWriter(str(tmp_path / "labels.pdf"))
        assert print_labels(writer, [LABEL] * count, sheet, first, QFont()) == pages


def test_a_label_says_what_is_in_the_crate_and_when_to_eat_it(session: Session) -> None:
    book = session.season.book
    projection = session.projection()
    batch_id = next(
        key
        for key, line in projection.line_of.items()
        if math.isfinite(projection.opens_h.mid[line])
    )
    batch = book.batches[batch_id]
    label = labels_of(session, batch_id)
    assert label.code == batch.code
    assert label.lines[0].startswith(session.season.crops[batch.crop].name)
    assert label.lines[1].startswith("Eat ")
    assert label.lines[2] == f"Picked {session.words.day(batch.picked_at)}"
    assert list(repeated(session, [(batch_id, 3)])) == [label] * 3
