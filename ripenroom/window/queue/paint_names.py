"""Draws the frozen names at the left of the lines: batch, crop and cultivar, place, fruit left."""

import math
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter

from ripenroom.season.projection import FruitState
from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import Layout, Sizes
from ripenroom.window.queue.queue_order import Facts
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats

_PAD_PX = 8.0


@dataclass(frozen=True, slots=True)
class NameColumns:
    """Left edges and widths of the columns; a width of 0 means there is no room for it.

    Where there is none for the crop beside the code it is written ``under`` it.
    """

    code: tuple[float, float]
    crop: tuple[float, float]
    place: tuple[float, float]
    left: tuple[float, float]
    under: bool = False


def columns(facts: Facts, width: float, sizes: Sizes) -> NameColumns:
    """Share the width out: the code always, then the count, then crop, then place.

    Each is as wide as its longest text while there is room. A place is shortened to its mark, and
    left out rather than that a crop is elided; a crop that does not fit stands under the code.
    """
    code_px, crop_px, place_px, left_px, mark_px = _natural(facts, sizes)
    if code_px + left_px + 2 * _PAD_PX > width:
        left_px = 0.0
    spare = max(width - code_px - left_px - 2 * _PAD_PX, 0.0)
    if crop_px + place_px > spare:
        # The width is a whole number of pixels, and may be half of one short.
        place_px = spare - crop_px if crop_px + mark_px <= spare + 1.0 else 0.0
    left = width - left_px - _PAD_PX, left_px
    if crop_px > spare + 1.0:
        room = max(width - left_px - 2 * _PAD_PX, 0.0)
        # A letter or two of a word tell nothing.
        crop_px = room if room >= sizes.text_px * 3.0 else 0.0
        return NameColumns(
            code=(_PAD_PX, min(code_px, room) if crop_px else code_px),
            crop=(_PAD_PX, crop_px),
            place=(_PAD_PX + room, 0.0),
            left=left,
            under=crop_px > 0.0,
        )
    return NameColumns(
        code=(_PAD_PX, code_px),
        crop=(_PAD_PX + code_px, crop_px),
        place=(_PAD_PX + code_px + crop_px, place_px),
        left=left,
    )


def natural_width(facts: Facts, sizes: Sizes, room: float = math.inf) -> float:
    """The width at which nothing is elided; in less ``room``, at which no more than places are."""
    code_px, crop_px, place_px, left_px, mark_px = _natural(facts, sizes)
    rest = code_px + crop_px + left_px + 2 * _PAD_PX
    return rest + (place_px if rest + place_px <= room else mark_px)


def crop_text(facts: Facts, line: int) -> str:
    """Crop and cultivar of a batch."""
    return with_cultivar(facts.crops[line], facts.cultivars[line])


def with_cultivar(crop: str, cultivar: str) -> str:
    """Crop and cultivar: ``"Pawpaw, early rows"``; a cultivar that names its crop says enough."""
    if crop.casefold() in cultivar.casefold():
        return cultivar
    return f"{crop}, {cultivar}" if cultivar else crop


@lru_cache(maxsize=8)
def _natural(facts: Facts, sizes: Sizes) -> tuple[float, float, float, float, float]:
    strong, small = QFontMetricsF(bold(sizes.font)), QFontMetricsF(sizes.small)
    crops = {crop_text(facts, line) for line in range(len(facts.batch_ids))}
    # Codes are alike: the longest by letters is near enough the widest, and cheap to find.
    code = max(facts.codes, key=len, default="")
    return (
        strong.horizontalAdvance(code or "P-0914-2") + 2 * _PAD_PX,
        max((small.horizontalAdvance(text) for text in crops), default=0.0) + 2 * _PAD_PX,
        max((small.horizontalAdvance(text) for text in set(facts.places)), default=0.0)
        + 2 * _PAD_PX,
        strong.horizontalAdvance("0000") + _PAD_PX,
        max((small.horizontalAdvance(mark) for mark in set(facts.marks)), default=0.0)
        + 2 * _PAD_PX,
    )


def paint_headings(
    painter: QPainter, layout: Layout, scene: Scene, sizes: Sizes, ink: Palette
) -> None:
    """The columns' headings, in the corner over the names."""
    painter.setFont(sizes.small)
    painter.setPen(ink.faint)
    where = columns(scene.facts, layout.names.width(), sizes)
    y = layout.corner.bottom() - sizes.small_px - 3.0
    left_aligned, right_aligned = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
    left = tr("Left")
    if scene.ghost is not None:
        left = tr("Past")
    for (x, width), text, align in (
        (where.code, tr("Batch"), left_aligned),
        ((0.0, 0.0) if where.under else where.crop, tr("Crop"), left_aligned),
        (where.place, tr("Place"), left_aligned),
        (where.left, left, right_aligned),
    ):
        if width:
            painter.drawText(QRectF(x, y, width, sizes.small_px), align, text)


@dataclass(frozen=True, slots=True)
class _Name:
    """What is written of one line; what is ``over`` fainter."""

    code: str
    crop: str
    place: str
    mark: str
    left: str
    over: bool
    shift: str = ""
    """From which day to which it is past sooner or later, while a temperature is tried."""


def _name(scene: Scene, line: int, words: Formats) -> _Name:
    pick, facts = scene.expected_at(line), scene.facts
    if pick is not None:
        expected = tr("due {day}").format(day=words.short_day(pick.picked_h))
        crop = with_cultivar(pick.crop, pick.cultivar)
        mark = facts.marks[facts.places.index(pick.place)] if pick.place in facts.places else ""
        return _Name(
            expected, crop, pick.place, mark or pick.place, words.number(pick.count), over=True
        )
    projection = scene.projection
    return _Name(
        facts.codes[line],
        crop_text(facts, line),
        facts.places[line],
        facts.marks[line],
        words.number(float(projection.left[line])),
        over=bool(projection.left[line] <= 0 or projection.state[line] == FruitState.PAST),
        shift=_shift(scene, line, words),
    )


def _shift(scene: Scene, line: int, words: Formats) -> str:
    """``"12 → 3 Oct"``: when it would be past; empty where that stays the same day."""
    if scene.ghost is None:
        return ""
    before, after = (float(one.closes_h.mid[line]) for one in (scene.ghost, scene.projection))
    if before == after:  # as of all in other places
        return ""
    days = [words.short_day(at) for at in (before, after)]
    if days[0] == days[1]:
        return ""
    number = words.local(before).day if math.isfinite(before) else 0
    # "2 → 11 Oct": a month is said once, where the day comes before it.
    month = days[0].removeprefix(str(number))
    if month != days[0] and days[1].endswith(month):
        days[0] = str(number)
    return " → ".join(days)


def paint_names(
    painter: QPainter,
    layout: Layout,
    scene: Scene,
    line_view: LineView,
    words: Formats,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """Who each visible line is; fruit that is past or gone is written fainter."""
    area, facts = layout.names, scene.facts
    where = columns(facts, area.width(), sizes)
    heavy = bold(sizes.small if where.under else sizes.font)
    # Two lines of small letters are as high as a line of the picture.
    lift_px = sizes.small_px / 2.0 if where.under else 0.0
    strong, plain, small = (QFontMetricsF(font) for font in (heavy, sizes.font, sizes.small))
    middle = Qt.AlignmentFlag.AlignVCenter
    painter.save()
    painter.setClipRect(area)
    for row in line_view.painted(scene.rows):
        line = scene.line_at(row)
        y = area.y() + line_view.y(row)
        name = _name(scene, line, words)
        if name.shift:
            # What is tried is looked at for its dates: they take the place of all but the code.
            _paint_shift(painter, area, y, where, name, line_view.line_px, sizes, ink)
            continue
        over, place_room = name.over, where.place[1] - _PAD_PX
        place = name.place if small.horizontalAdvance(name.place) <= place_room else name.mark
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        for (x, width), text, font, metrics, colour, align, down_px in (
            (where.code, name.code, heavy, strong, ink.text, left, -lift_px),
            (where.crop, name.crop, sizes.small, small, ink.text, left, lift_px),
            (where.place, place, sizes.small, small, ink.faint, left, 0.0),
            (where.left, name.left, sizes.font, plain, ink.text, right, 0.0),
        ):
            if width:
                room = width - (_PAD_PX if align is left else 0)
                painter.setFont(font)
                painter.setPen(ink.faint if over else colour)
                shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
                spot = QRectF(x, y + down_px, room, line_view.line_px)
                painter.drawText(spot, align | middle, shown)
    painter.restore()


def _paint_shift(
    painter: QPainter,
    area: QRectF,
    y: float,
    where: NameColumns,
    name: _Name,
    high: float,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """The code of a line, and how its last day shifts."""
    middle, (x, width) = Qt.AlignmentFlag.AlignVCenter, where.code
    painter.setPen(ink.text)
    painter.setFont(bold(sizes.small if where.under else sizes.font))
    if where.under:
        room = area.right() - x - _PAD_PX
        high, below = high / 2.0, QRectF(x, y + high / 2.0, room, high / 2.0)
        painter.drawText(below, middle | Qt.AlignmentFlag.AlignLeft, name.shift)
    painter.drawText(QRectF(x, y, width, high), middle | Qt.AlignmentFlag.AlignLeft, name.code)
    if where.under:
        return
    painter.setFont(sizes.small)
    rest = QRectF(x + width - _PAD_PX, y, area.right() - x - width, high)
    painter.drawText(rest, middle | Qt.AlignmentFlag.AlignRight, name.shift)
