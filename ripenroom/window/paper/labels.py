"""Crate labels: the batch code large, what is in the crate, a QR code; and their sheets."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPen

from ripenroom.records.crop.crop_names import called
from ripenroom.texts import tr
from ripenroom.window.paper.output import paint_qr, write_line
from ripenroom.window.session import Session

_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels of ``width_mm`` × ``height_mm`` in columns and rows on one sheet of paper.

    The first begins ``left_mm`` and ``top_mm`` from the corner; ``gap_mm`` lies between columns,
    nothing between rows.
    """

    key: str
    paper: QPageSize.PageSizeId
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_mm: float

    @property
    def labels(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    def place_mm(self, number: int) -> QRectF:
        """Where a label of a sheet lies, counted along the rows from 0."""
        row, column = divmod(number, self.columns)
        return QRectF(
            self.left_mm + column * (self.width_mm + self.gap_mm),
            self.top_mm + row * self.height_mm,
            self.width_mm,
            self.height_mm,
        )

    def page_layout(self) -> QPageLayout:
        """The paper with no margins: labels keep their own."""
        return QPageLayout(
            QPageSize(self.paper),
            QPageLayout.Orientation.Portrait,
            QMarginsF(0, 0, 0, 0),
            QPageLayout.Unit.Millimeter,
        )


def _inches(*values: float) -> tuple[float, ...]:
    return tuple(value * _MM_PER_INCH for value in values)


def _sheet(
    key: str, paper: QPageSize.PageSizeId, grid: tuple[int, int], *lengths_mm: float
) -> LabelSheet:
    return LabelSheet(key, paper, *grid, *lengths_mm)


_A4, _LETTER = QPageSize.PageSizeId.A4, QPageSize.PageSizeId.Letter

# Sizes as stationers sell them (common practice; the figures are from memory).
SHEETS: tuple[LabelSheet, ...] = (
    _sheet("a4-8", _A4, (2, 4), 99.1, 67.7, 4.65, 13.1, 2.5),
    _sheet("a4-14", _A4, (2, 7), 99.1, 38.1, 4.65, 15.15, 2.5),
    _sheet("a4-21", _A4, (3, 7), 63.5, 38.1, 7.25, 15.15, 2.5),
    _sheet("a4-24", _A4, (3, 8), 70.0, 37.0, 0.0, 0.5, 0.0),
    _sheet("letter-6", _LETTER, (2, 3), *_inches(4.0, 10 / 3, 5 / 32, 0.5, 3 / 16)),
    _sheet("letter-10", _LETTER, (2, 5), *_inches(4.0, 2.0, 5 / 32, 0.5, 3 / 16)),
    _sheet("letter-30", _LETTER, (3, 10), *_inches(2.625, 1.0, 3 / 16, 0.5, 1 / 8)),
)
"""Columns, rows; then width, height, left, top and gap in millimetres."""

SHEET_OF = {sheet.key: sheet for sheet in SHEETS}


_MARGIN_MM = 2.5


@dataclass(frozen=True, slots=True)
class CrateLabel:
    """The texts of one label, the most important first after the code."""

    code: str
    lines: tuple[str, ...]


def labels_of(session: Session, batch_id: str) -> CrateLabel:
    """What stands on a crate of a batch, in the user's words."""
    season, words = session.season, session.words
    batch = season.book.batches[batch_id]
    crop = season.crops.get(batch.crop)
    cultivar = season.book.cultivars.get(batch.cultivar_id or "")
    named = [called(crop) if crop else batch.crop, cultivar.name if cultivar else ""]
    lines = [
        " · ".join(filter(None, named)),
        tr("Picked {day}").format(day=words.day(batch.picked_at)),
    ]
    projection = session.projection()
    line = projection.line_of.get(batch_id)
    if line is not None:
        opens = float(projection.opens_h.mid[line])
        closes = float(projection.closes_h.mid[line])
        if math.isfinite(opens) and math.isfinite(closes):
            lines.insert(
                1,
                tr("Eat {days}").format(days=words.day_range(opens, closes)),
            )
    return CrateLabel(batch.code, tuple(lines))


def print_labels(
    device: QPagedPaintDevice,
    labels: Sequence[CrateLabel],
    sheet: LabelSheet,
    first: int,
    font: QFont,
) -> int:
    """Paint labels on as many sheets as they need, from place ``first`` (0: the first) on.

    How many sheets that were.
    """
    device.setPageLayout(sheet.page_layout())
    painter = QPainter()
    if not painter.begin(device):
        return 0
    try:
        scale = device.logicalDpiX() / 25.4
        pages = 0
        for number, label in enumerate(labels, start=first):
            on_page = number % sheet.labels
            if number == first or on_page == 0:
                if pages:
                    device.newPage()
                pages += 1
            place = sheet.place_mm(on_page)
            painter.save()
            painter.translate(place.left() * scale, place.top() * scale)
            painter.scale(scale, scale)
            paint_label(painter, QSizeF(place.width(), place.height()), label, font)
            painter.restore()
        return pages
    finally:
        painter.end()


def paint_label(painter: QPainter, size_mm: QSizeF, label: CrateLabel, font: QFont) -> None:
    """Paint one label with its corner at the origin; one unit of the painter is a millimetre."""
    inner = QRectF(0, 0, size_mm.width(), size_mm.height()).adjusted(
        _MARGIN_MM, _MARGIN_MM, -_MARGIN_MM, -_MARGIN_MM
    )
    side = min(inner.height(), inner.width() * 0.36)
    square = QRectF(inner.right() - side, inner.center().y() - side / 2, side, side)
    paint_qr(painter, square, label.code)
    text = QRectF(inner.topLeft(), QPointF(square.left() - 1.0, inner.bottom()))
    painter.setPen(QPen(QColor(Qt.GlobalColor.black)))
    code_height = min(text.height() * 0.42, 16.0)
    write_line(painter, _part(text, 0.0, code_height), label.code, font, bold=True)
    each = min((text.height() - code_height) / max(len(label.lines), 1), 7.5)
    for number, line in enumerate(label.lines):
        write_line(
            painter, _part(text, code_height + number * each, each), line, font, bold=number == 1
        )


def _part(text: QRectF, from_top: float, height: float) -> QRectF:
    return QRectF(text.left(), text.top() + from_top, text.width(), height)


def repeated(session: Session, crates: Sequence[tuple[str, int]]) -> Iterator[CrateLabel]:
    """A label for every crate of (batch, crates)."""
    for batch_id, count in crates:
        label = labels_of(session, batch_id)
        yield from [label] * count
