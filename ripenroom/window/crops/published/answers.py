"""What the program says of all statements about a crop, worked out beside the window."""

from PySide6.QtCore import QObject, Signal

from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season.projection import Ranged
from ripenroom.season.published import WrittenCrop, said
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.session import Session

_MOST_KEPT = 40


class Answers(QObject):
    """Keeps what was worked out by the text of the crop.

    One crop is worked out at a time: whoever walks through the list of crops waits for the last
    only. ``came`` follows when something was worked out, of whatever crop.
    """

    came = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._kept: dict[str, Ranged | None] = {}
        self._task: BackgroundTask[Ranged] | None = None
        self._text = ""

    def of(self, key: str, text: str) -> Ranged | None:
        """What is said of the crop's shipped statements, in their order; None while it is not
        known: then it is begun, unless another crop is at work or it has failed."""
        if text not in self._kept and self._task is None:
            statements = [(key, one) for one in shipped_statements(key)]
            self._text = text
            self._task = self._session.tasks.run(
                lambda _cancel, _tell: said({key: WrittenCrop.of_text(text)}, statements)
            )
            self._task.ended.connect(self._take)
        return self._kept.get(text)

    def failed(self, text: str) -> bool:
        """Whether it was tried in vain."""
        return text in self._kept and self._kept[text] is None

    def _take(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        task.report_error()
        if len(self._kept) >= _MOST_KEPT:
            del self._kept[next(iter(self._kept))]
        self._kept[self._text] = task.result
        self.came.emit()
