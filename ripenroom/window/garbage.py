"""Runs Python's garbage collector in the window's thread only.

Python looks for objects that hold only each other in whichever thread happens to ask for memory.
Where that is the thread of a piece of work, a closed dialog and its timers would be torn down
there, which Qt answers with a crash.
"""

import gc

from PySide6.QtCore import QObject, QTimer

_LOOK_EVERY_MS = 200


class Garbage(QObject):
    """Looks for objects that hold only each other by a timer, about as often as Python itself would
    have, from when it is made until :meth:`stop`."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self)
        self._timer.timeout.connect(_collect)
        self._timer.start(_LOOK_EVERY_MS)

    def stop(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.enable()


def _collect() -> None:
    """Collect the oldest generation that is due, which takes the younger ones with it."""
    due = [
        generation
        for generation, (count, most) in enumerate(
            zip(gc.get_count(), gc.get_threshold(), strict=True)
        )
        if count > most
    ]
    if due:
        gc.collect(due[-1])
