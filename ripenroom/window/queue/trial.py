"""A decision that is being tried: how the line would look, and what that costs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from ripenroom.records.market import Pin
from ripenroom.season.moments import to_hours
from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.queue.batch_order import place_marks
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary, QueuePlan
from ripenroom.window.queue.scene import Scene
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import crates_words


@dataclass(frozen=True, slots=True)
class DecisionTrial:
    """``pin`` is tried for the crates of ``way`` of a line; nothing is written.

    ``cost`` says in words what it costs, ``by_key`` that the keyboard tries it.
    """

    line: int
    way: QueueItinerary
    was: Pin
    pin: Pin
    cost: str
    by_key: bool

    @property
    def changed(self) -> bool:
        """Whether this is any other than what is planned."""
        return self.pin != self.was


def trial_scene(scene: Scene, trial: DecisionTrial) -> Scene:
    """The scene with the tried way in place of the planned one."""
    planned = scene.planned
    if planned is None or not trial.changed:
        return scene
    batch_id = trial.pin.batch_id
    ways = tuple(
        tried_way(scene, planned, trial.way, trial.pin) if way is trial.way else way
        for way in planned.ways.get(batch_id, ())
    )
    return replace(scene, planned=replace(planned, ways={**planned.ways, batch_id: ways}))


def chosen_in(scene: Scene, trial: DecisionTrial) -> QueueItinerary:
    """The tried way as it stands in the trial's own scene."""
    here = scene.ways_of(trial.line)
    changed = (way for way in here if way.line.pin_id == trial.pin.id)
    return next(changed, trial.way) if trial.changed else trial.way


def tried_way(scene: Scene, planned: QueuePlan, way: QueueItinerary, pin: Pin) -> QueueItinerary:
    """A way as a pin would have it."""
    from ripenroom.season.plans.plan import PlannedMove

    marks = place_marks(planned.place_names)
    steps, waits = way.line.steps, way.waits
    if not way.written:
        steps, waits = (), way.waits[:1]
        if pin.pull_at is not None and pin.place_id is not None:
            steps = (PlannedMove(pin.pull_at, pin.place_id),)
            waits = (*waits, (to_hours(pin.pull_at), marks[pin.place_id]))
    starts = {band.market_day_id: band.starts_h for band in scene.bands}
    line = replace(
        way.line,
        pull_at=steps[-1].at if steps else None,
        to_place_id=steps[-1].place_id if steps else way.line.from_place_id,
        steps=steps,
        market_day_id=pin.market_day_id,
        second_grade=False,
        pin_id=pin.id,
    )
    return QueueItinerary(
        line=line,
        fate=ItineraryEnd.LEFT if pin.market_day_id is None else ItineraryEnd.SOLD,
        waits=waits,
        pull_h=to_hours(steps[-1].at) if steps else math.nan,
        ends_h=math.nan if pin.market_day_id is None else starts[pin.market_day_id],
        written=way.written,
    )


def decision_words(planned: QueuePlan, pin: Pin, words: Formats, day_h: float) -> list[str]:
    """What is decided: the pull, and the market day that starts at ``day_h`` (h)."""
    lines = []
    if pin.pull_at is not None and pin.place_id is not None:
        lines.append(
            tr("{crates}: moved {moment} to {place}").format(
                crates=crates_words(pin.crates),
                moment=words.moment(pin.pull_at),
                place=planned.place_names[pin.place_id],
            )
        )
    else:
        lines.append(tr("{crates}: not moved").format(crates=crates_words(pin.crates)))
    if pin.market_day_id is not None:
        lines.append(
            tr("{name}, {day}").format(
                name=planned.day_names[pin.market_day_id], day=words.day(day_h)
            )
        )
    return lines


def trial_words(scene: Scene, trial: DecisionTrial, words: Formats) -> list[str]:
    """A trial in words, line by line: what is tried, what it costs, how to end it."""
    if scene.planned is None:
        return []
    starts = {band.market_day_id: band.starts_h for band in scene.bands}
    day_h = starts.get(trial.pin.market_day_id or "", math.nan)
    lines = decision_words(scene.planned, trial.pin, words, day_h)
    lines.append(trial.cost if trial.changed else tr("as planned"))
    if trial.by_key:
        lines.append(tr("Enter pins it, Esc leaves it"))
    return lines


_PAD_PX = 6.0
_BESIDE_PX = 14.0


def paint_note(
    painter: QPainter,
    room: QRectF,
    at: QPointF,
    lines: Sequence[str],
    strong: str,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """A note whose corner is beside ``at``, kept inside the room; the line ``strong`` is heavy."""
    heavy = bold(sizes.small)
    fonts = [heavy if text == strong else sizes.small for text in lines]
    widths = (QFontMetricsF(f).horizontalAdvance(t) for f, t in zip(fonts, lines, strict=True))
    width = min(max(widths, default=0.0) + 2.0 * _PAD_PX, room.width())
    height = len(lines) * sizes.small_px + 2.0 * _PAD_PX
    x = min(at.x() + _BESIDE_PX, room.right() - width - 1.0)
    y = at.y() + _BESIDE_PX
    if y + height >= room.bottom():
        y = max(at.y() - _BESIDE_PX - height, room.top())
    box = QRectF(round(x) + 0.5, round(y) + 0.5, round(width), round(height))
    painter.save()
    painter.setPen(QPen(ink.text, 1.0))
    painter.setBrush(ink.paper)
    painter.drawRect(box)
    painter.setClipRect(box)
    ascent = QFontMetricsF(sizes.small).ascent()
    for number, (text, font) in enumerate(zip(lines, fonts, strict=True)):
        painter.setFont(font)
        painter.drawText(
            QPointF(box.x() + _PAD_PX, box.y() + _PAD_PX + number * sizes.small_px + ascent), text
        )
    painter.restore()
