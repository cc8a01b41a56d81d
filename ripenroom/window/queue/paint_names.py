"""Draws the frozen names at the left of the lines: batch, crop and cultivar, place, fruit left."""

import math
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter

from ripenroom.season.projection import FruitState
from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.queue.batch_order import Facts
from ripenroom.window.queue.layout import Layout, Sizes
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats

_PAD_PX = 8.0


@dataclass(frozen=True, slots=True)
class NameColumns:
    """Left edges and widths of the columns; a width of 0 means there is no room for it.

    Where there is none for the crop beside the code it is written ``under`` it. ``shift`` is where
    dates stand while a temperature is tried, in the place's stead.
    """

    code: tuple[float, float]
    crop: tuple[float, float]
    place: tuple[float, float]
    left: tuple[float, float]
    under: bool = False
    shift: tuple[float, float] = (0.0, 0.0)


def columns(facts: Facts, width: float, sizes: Sizes, shift_px: float = 0.0) -> NameColumns:
    """Share the width out: the code always, then the count, then crop, then place.

    Each is as wide as its longest text while there is room. A place is shortened to its mark, and
    left out rather than that a crop is elided; a crop that does not fit stands under the code.
    Dates of ``shift_px`` leave the place no room.
    """
    code_px, crop_px, place_px, left_px, mark_px = _natural(facts, sizes)
    if code_px + left_px + 2 * _PAD_PX > width:
        left_px = 0.0
    spare = max(width - code_px - left_px - 2 * _PAD_PX, 0.0)
    left = width - left_px - _PAD_PX, left_px
    if shift_px and crop_px + shift_px <= spare + 1.0:
        dates = _PAD_PX + code_px + crop_px, spare - crop_px
        return NameColumns((_PAD_PX, code_px), (_PAD_PX + code_px, crop_px), (0.0, 0.0), left,
                           shift=dates)  # fmt: skip
    if crop_px + place_px > spare:
        # The width is a whole number of pixels, and may be half of one short.
        place_px = spare - crop_px if crop_px + mark_px <= spare + 1.0 else 0.0
    if shift_px or crop_px > spare + 1.0:
        room = max(width - left_px - 2 * _PAD_PX, 0.0)
        # A letter or two of a word tell nothing.
        crop_px = room if room >= sizes.text_px * 3.0 else 0.0
        return NameColumns(
            code=(_PAD_PX, min(code_px, room) if crop_px else code_px),
            crop=(_PAD_PX, crop_px),
            place=(_PAD_PX + room, 0.0),
            left=left,
            under=crop_px > 0.0,
            shift=(_PAD_PX, room if shift_px else 0.0),
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


def _columns_of(scene: Scene, width: float, words: Formats, sizes: Sizes) -> NameColumns:
    """The columns as a scene has them: with room for dates of a month while one is tried."""
    if scene.ghost is None:
        return columns(scene.facts, width, sizes)
    usual = f"30 → {words.short_day(scene.now_h)}"
    shift_px = QFontMetricsF(sizes.small).horizontalAdvance(usual) + 2 * _PAD_PX
    return columns(scene.facts, width, sizes, shift_px)


def paint_headings(
    painter: QPainter, layout: Layout, scene: Scene, words: Formats, sizes: Sizes, ink: Palette
) -> None:
    """The columns' headings, in the corner over the names."""
    painter.setFont(sizes.small)
    painter.setPen(ink.faint)
    where = _columns_of(scene, layout.names.width(), words, sizes)
    y = layout.corner.bottom() - sizes.small_px - 3.0
    left_aligned, right_aligned = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
    for (x, width), text, align in (
        (where.code, tr("Batch"), left_aligned),
        ((0.0, 0.0) if where.under else where.crop, tr("Crop"), left_aligned),
        (where.place, tr("Place"), left_aligned),
        (where.shift, tr("Past"), right_aligned),
        (where.left, tr("Left"), right_aligned),
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
    if scene.ghost is None or scene.projection.left[line] <= 0.0:
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
    area = layout.names
    where = _columns_of(scene, area.width(), words, sizes)
    heavy = bold(sizes.small if where.under else sizes.font)
    # Two lines of small letters are as high as a line of the picture.
    lift_px = sizes.small_px / 2.0 if where.under else 0.0
    strong, plain, small = (QFontMetricsF(font) for font in (heavy, sizes.font, sizes.small))
    middle = Qt.AlignmentFlag.AlignVCenter
    left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
    painter.save()
    painter.setClipRect(area)
    for row in line_view.painted(scene.rows):
        y = area.y() + line_view.y(row)
        name = _name(scene, scene.line_at(row), words)
        over, place_room = name.over, where.place[1] - _PAD_PX
        place = name.place if small.horizontalAdvance(name.place) <= place_room else name.mark
        code_px = strong.horizontalAdvance(name.code)
        crop, shift, shift_down = _beside_dates(name, where, code_px, small, lift_px)
        for (x, width), text, font, metrics, colour, align, down_px in (
            (where.code, name.code, heavy, strong, ink.text, left, -lift_px),
            (crop, name.crop, sizes.small, small, ink.text, left, lift_px),
            (where.place, place, sizes.small, small, ink.faint, left, 0.0),
            (shift, name.shift, sizes.small, small, ink.text, right, shift_down),
            (where.left, name.left, sizes.font, plain, ink.text, right, 0.0),
        ):
            if width > 0.0:
                room = width - (_PAD_PX if align is left else 0)
                painter.setFont(font)
                painter.setPen(ink.faint if over else colour)
                shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
                spot = QRectF(x, y + down_px, room, line_view.line_px)
                painter.drawText(spot, align | middle, shown)
    painter.restore()


Span = tuple[float, float]


def _beside_dates(
    name: _Name, where: NameColumns, code_px: float, small: QFontMetricsF, lift_px: float
) -> tuple[Span, Span, float]:
    """Where the crop and the dates stand (left edge and width), and how far down the dates.

    The dates are never cut. They stand over the crop's line where there is room beside the code,
    else the crop gives way to them.
    """
    if not name.shift:
        return where.crop, (0.0, 0.0), 0.0
    ends_x = where.shift[0] + where.shift[1]
    wide = small.horizontalAdvance(name.shift) + 1.0
    dates = ends_x - wide, wide
    if where.under and where.code[0] + code_px + _PAD_PX <= dates[0]:
        return where.crop, dates, -lift_px
    crop_x, crop_px = where.crop
    return (crop_x, min(crop_px, dates[0] - crop_x)), dates, lift_px
