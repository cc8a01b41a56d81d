"""Draws the labels of market days: name, day, and what is wanted and ready of each crop."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from ripenroom.season.projection import Supply, Verdict
from ripenroom.texts import tr, tr_n
from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import (
    LABEL_FOOT_PX,
    MOST_CROPS,
    Form,
    Label,
    Layout,
    Placed,
    Room,
    Sizes,
    place,
)
from ripenroom.window.queue.scene import MarketBand, Scene
from ripenroom.window.queue.time_view import TimeView
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats
from ripenroom.wording.likely_fruit import more_likely_words
from ripenroom.wording.market_days import (
    planned_words,
    ready_words,
    risk_words,
    supply_words,
    verdict_words,
)
from ripenroom.wording.names import crop_name

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedMarket


TICK_PX = 6.0
"""How high the flag of a market day is whose label has no room."""
_PAD_PX = 6.0
_LEAST_PX = 60.0


@dataclass(frozen=True, slots=True)
class WrittenBand:
    """A band with the texts of its label, as wide as they come out in the header's font."""

    band: MarketBand
    title: str
    day: str
    crops: tuple[tuple[str, bool], ...]
    """One line per crop, and whether it is emphasised."""
    title_px: float
    full_px: float
    wrapped_px: tuple[float, ...]
    """As wide as the name over the day, and as fewer words of it are."""


def band_title(band: MarketBand, words: Formats) -> str:
    """Name and day: ``"Village market, Sat 26 Sep"``."""
    return tr("{name}, {day}").format(name=band.name, day=words.day(band.starts_h))


def band_words(band: MarketBand, scene: Scene, words: Formats) -> str:
    """Everything about a market day, one line each, for hovering and for a listener."""
    lines = []
    for supply in band.supplies:
        market = _planned(supply, band, scene)
        if market is None:
            lines.append(_crop_line(supply, band, scene, words))
            continue
        ready = market.supply
        parts = [verdict_words(ready, words), risk_words(market, words)]
        parts.append(more_likely_words(market.likely, words))
        line = tr("{crop}: {wanted} wanted · {planned}, {ready}")
        line = line.format(
            crop=crop_name(scene.crops, supply.crop),
            wanted=words.number(supply.wanted),
            planned=planned_words(market, words),
            ready=ready_words(ready, words),
        )
        lines.append(f"{line}: {'; '.join(part for part in parts if part)}")
    if not lines:
        lines = [tr("nothing wanted yet")]
    return "\n".join([band_title(band, words), *lines])


def write_bands(scene: Scene, words: Formats, sizes: Sizes) -> list[WrittenBand]:
    """The texts of all bands, measured; shortages are emphasised by weight, not by colour."""
    metrics, heavy = QFontMetricsF(sizes.small), QFontMetricsF(bold(sizes.small))
    written = []
    for band in scene.bands:
        title = band_title(band, words)
        crops = [
            (_crop_line(supply, band, scene, words), _is_short(supply, band, scene))
            for supply in band.supplies
        ]
        if len(crops) > MOST_CROPS:
            more = tr_n("and {n} more", "and {n} more", len(crops) - MOST_CROPS + 1)
            crops = [*crops[: MOST_CROPS - 1], (more, False)]
        title_px = heavy.horizontalAdvance(title) + 2.0 * _PAD_PX
        day_px = heavy.horizontalAdvance(words.day(band.starts_h))
        widths = [(heavy if strong else metrics).horizontalAdvance(text) for text, strong in crops]
        written.append(
            WrittenBand(
                band,
                title,
                words.day(band.starts_h),
                tuple(crops),
                title_px,
                max([title_px, *(w + 2 * _PAD_PX for w in widths)]),
                tuple(
                    max(heavy.horizontalAdvance(name), day_px) + 2.0 * _PAD_PX
                    for name in _names(band)
                ),
            )
        )
    return written


def place_bands(
    written: list[WrittenBand],
    view: TimeView,
    layout: Layout,
    now_h: float,
    sizes: Sizes,
    full: bool,
) -> list[Placed]:
    """Where each label stands; the next market days go first, those that are over keep short."""
    labels = []
    for one in written:
        over = one.band.last_h <= now_h
        first, last = view.x(one.band.first_h), view.x(one.band.last_h)
        seen = _in_sight(one.band, view)
        labels.append(
            Label(
                anchor_x=max(first, 0.0) if seen else -1.0,
                band_px=last - max(first, 0.0),
                full=(
                    min(one.full_px, view.width_px),
                    (1 + len(one.crops)) * sizes.small_px + LABEL_FOOT_PX,
                ),
                short=(one.title_px, sizes.small_px + LABEL_FOOT_PX),
                weight=-abs(one.band.first_h - now_h) - (1e6 if over else 0.0),
                wants_full=full and not over and bool(one.crops) and one.full_px <= view.width_px,
                wrapped=[(wide, 2.0 * sizes.small_px + LABEL_FOOT_PX) for wide in one.wrapped_px],
            )
        )
    return place(labels, Room(0.0, view.width_px, layout.labels_px, _LEAST_PX))


def paint_labels(
    painter: QPainter,
    written: list[WrittenBand],
    placed: list[Placed],
    view: TimeView,
    layout: Layout,
    now_h: float,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """Draw labels, each with its flag on its day; of a label without room the flag alone."""
    header = layout.header
    foot = header.bottom() - layout.axis_px
    heavy = bold(sizes.small)
    heavy_metrics = QFontMetricsF(heavy)
    ascent = heavy_metrics.ascent()
    for one, where in sorted(zip(written, placed, strict=True), key=lambda pair: -pair[1].above):
        stem = round(header.x() + _flag_x(one.band, where, view)) + 0.5
        if where.form is Form.TICK:
            if _in_sight(one.band, view):
                painter.setPen(QPen(ink.accent, 2.0))
                painter.drawLine(QLineF(stem, foot - TICK_PX, stem, foot))
            continue
        top = foot - where.above - where.height
        bottom = top + where.height - LABEL_FOOT_PX + 2.0
        left = header.x() + where.x
        painter.setPen(QPen(ink.edge, 1.0))
        painter.drawLine(QLineF(stem, top + 2.0, stem, foot))
        painter.fillRect(
            round(left) + 1, round(top), round(where.width) - 1, round(bottom - top), ink.paper
        )
        painter.setPen(QPen(ink.accent, 2.0))
        painter.drawLine(QLineF(stem, top + 2.0, stem, bottom))
        over = one.band.last_h <= now_h
        y = top + ascent + 1.0
        painter.setFont(heavy)
        painter.setPen(ink.faint if over else ink.text)
        beside = Qt.AlignmentFlag.AlignRight if where.before_day else Qt.AlignmentFlag.AlignLeft
        room = QRectF(left + _PAD_PX, y - ascent, where.width - 2.0 * _PAD_PX + 1.0, sizes.small_px)
        if where.form is Form.WRAPPED:
            name = first_that_fits(_names(one.band), heavy_metrics, room.width())
            painter.drawText(room, beside, name)
            room.translate(0.0, sizes.small_px)
            painter.drawText(room, beside, one.day)
            continue
        painter.drawText(room, beside, title_within(one, heavy_metrics, room.width()))
        if where.form is Form.FULL:
            for text, strong in one.crops:
                room.translate(0.0, sizes.small_px)
                painter.setFont(heavy if strong else sizes.small)
                painter.drawText(room, beside, text)


def title_within(one: WrittenBand, metrics: QFontMetricsF, room_px: float) -> str:
    """A band's name and day in so much room: first words of the name beside the whole day, else of
    the name alone; letters of its first word where not even that has room."""
    names = _names(one.band)
    beside = [tr("{name}, {day}").format(name=name, day=one.day) for name in names]
    return first_that_fits((*beside, *names), metrics, room_px)


def first_that_fits(texts: Sequence[str], metrics: QFontMetricsF, room_px: float) -> str:
    """The first text that so much room holds; of the last one letters where it holds none."""
    for text in texts:
        if metrics.horizontalAdvance(text) <= room_px:
            return text
    return metrics.elidedText(texts[-1], Qt.TextElideMode.ElideRight, room_px)


def _names(band: MarketBand) -> list[str]:
    """A market day's name, and as fewer and fewer of its words say it."""
    words = band.name.split()
    begun = (" ".join(words[:n]) + "…" for n in range(len(words) - 1, 0, -1))
    return [band.name, *begun]


def _in_sight(band: MarketBand, view: TimeView) -> bool:
    return view.x(band.last_h) > 0.0 and view.x(band.first_h) < view.width_px


def _flag_x(band: MarketBand, where: Placed, view: TimeView) -> float:
    """Where a flag stands: within its day, whole in sight, on its label's side."""
    first, last = view.x(band.first_h) + 1.0, view.x(band.last_h) - 1.0
    return min(max(where.flag_x, first, 1.0), max(last, first), view.width_px - 1.0)


def _planned(supply: Supply, band: MarketBand, scene: Scene) -> "PlannedMarket | None":
    """What the plan brings of a crop; None without a plan of what is wanted now."""
    if scene.planned is None or band.tried:
        return None
    market = scene.planned.markets.get((band.market_day_id, supply.crop))
    return market if market is not None and market.wanted == supply.wanted else None


def _is_short(supply: Supply, band: MarketBand, scene: Scene) -> bool:
    market = _planned(supply, band, scene)
    shown = supply if market is None else market.supply
    return not band.tried and shown.verdict is Verdict.SHORT


def _crop_line(supply: Supply, band: MarketBand, scene: Scene, words: Formats) -> str:
    crop = crop_name(scene.crops, supply.crop)
    market = _planned(supply, band, scene)
    if market is not None:
        line = tr("{crop}: {wanted} wanted · {planned}, {ready} good").format(
            crop=crop,
            wanted=words.number(supply.wanted),
            planned=planned_words(market, words),
            ready=words.number(market.ready.mid),
        )
        if market.supply.verdict is Verdict.SHORT:
            return tr("{line}, short").format(line=line)
        return line
    if band.tried:
        return tr("{crop}: {wanted} wanted").format(crop=crop, wanted=words.number(supply.wanted))
    line = f"{crop}: {supply_words(supply, words)}"
    if supply.verdict is Verdict.SHORT:
        return tr("{line} short").format(line=line)
    return line
