"""The queue without its controls, to watch while something else is being changed."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.season.projection import Projection
from ripenroom.window.page import SeasonView
from ripenroom.window.queue.composing import SceneMaker
from ripenroom.window.queue.lines import Filter, Shown, SortBy
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.scene import Scene
from ripenroom.window.session import Session


class QueueStrip(SeasonView):
    """Read-only; shows the season as it is, or under a projection that is only tried."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._maker = SceneMaker(session)
        self._scene: Scene | None = None
        self.picture = QueuePicture(compact=True, parent=self)
        self.picture.setAccessibleName(self.tr("Shelf queue"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.picture)

    def refresh(self) -> None:
        """Show the season as it is now."""
        self._scene = self._maker.scene(SortBy.CLOSES, Filter(shown=Shown.GOOD))
        self.picture.set_scene(self._scene, self._session.words)

    def setProjection(self, projection: Projection | None) -> None:
        """Show what a tried set point would do, over outlines of how it is; None ends that."""
        if self._scene is None:
            self.refresh()
        assert self._scene is not None
        shown = self._scene
        if projection is not None:
            shown = shown.trying(projection)
        self.picture.set_scene(shown, self._session.words)
