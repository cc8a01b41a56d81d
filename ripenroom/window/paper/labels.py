"""Crate labels: the batch code large, what is in the crate, when to eat it, and a QR code."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QPagedPaintDevice, QPainter, QPen

from ripenroom.window.paper.label_sheets import LabelSheet
from ripenroom.window.paper.lettering import write_line
from ripenroom.window.paper.qr import paint_qr
from ripenroom.window.session import Session

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
    named = [crop.name if crop else batch.crop, cultivar.name if cultivar else ""]
    lines = [
        " · ".join(filter(None, named)),
        QCoreApplication.translate("Labels", "Picked {day}").format(day=words.day(batch.picked_at)),
    ]
    projection = session.projection()
    line = projection.line_of.get(batch_id)
    if line is not None:
        opens = float(projection.opens_h.mid[line])
        closes = float(projection.closes_h.mid[line])
        if math.isfinite(opens) and math.isfinite(closes):
            lines.insert(
                1,
                QCoreApplication.translate("Labels", "Eat {days}").format(
                    days=words.day_range(opens, closes)
                ),
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
