"""What stands in the queue in short is said in full where the pointer rests on it."""

from PySide6.QtCore import QPointF
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from ripenroom.window.plain import set_hint
from ripenroom.window.queue.paint_bands import band_words
from ripenroom.window.queue.paint_names import crop_text, with_cultivar
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.under_pointer import band_at, line_at


class HintedPicture(QueuePicture):
    """A picture whose market days, and whose lines at their names, have hints."""

    def __init__(self, compact: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(compact, parent)
        self.viewport().setMouseTracking(True)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Have the hint of what the pointer is on; Qt shows it once it rests there."""
        self.hint_on(event.position())
        event.accept()

    def hint_on(self, point: QPointF) -> None:
        """Give the picture the hint of what is under a point."""
        set_hint(self.viewport(), hint_at(self, point))


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
