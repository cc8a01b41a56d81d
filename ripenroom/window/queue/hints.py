"""What stands in the queue in short is said in full where the pointer rests on it."""

from PySide6.QtCore import QEvent, QPointF
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QToolTip

from ripenroom.window.plain import plain_hint
from ripenroom.window.queue.paint_bands import band_words
from ripenroom.window.queue.paint_names import crop_text, with_cultivar
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.under_pointer import band_at, line_at


class HintedPicture(QueuePicture):
    """A picture whose market days, and whose lines at their names, have hints."""

    def viewportEvent(self, event: QEvent) -> bool:
        """Show the hint of what the pointer rests on."""
        if event.type() is not QEvent.Type.ToolTip or not isinstance(event, QHelpEvent):
            return super().viewportEvent(event)
        text = hint_at(self, QPointF(event.pos()))
        if text:
            QToolTip.showText(event.globalPos(), plain_hint(text), self.viewport())
        else:
            QToolTip.hideText()
        return True


def hint_at(picture: QueuePicture, point: QPointF) -> str:
    """A market day with all that is wanted, or a line's names in full; else nothing."""
    scene, words = picture.scene, picture.words
    if scene is None or words is None:
        return ""
    band = band_at(picture, point)
    if band is not None:
        return band_words(band, scene, words)
    line = line_at(picture, point)
    if line is None or point.x() >= picture.layout_now().lines.x():
        return ""
    pick, facts = scene.expected_at(line), scene.facts
    if pick is not None:
        parts = (with_cultivar(pick.crop, pick.cultivar), pick.place)
        return "\n".join(part for part in parts if part)
    return "\n".join((facts.codes[line], crop_text(facts, line), facts.places[line]))
