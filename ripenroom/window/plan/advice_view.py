"""Advice that takes a while: how to set thermostats, and what would help."""

import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Generic

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.questions import Questions
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr
from ripenroom.window.background.task import BackgroundTask, Progress, Result
from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.plan.set_point_plot import SetPointPlot
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.plan.set_points import gain_words, help_words, set_point_words

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import Help, SetPointAdvice

Work = Callable[[Questions, threading.Event, Progress], Result]


class Working(QWidget, Generic[Result]):
    """Works something out of the season as it is now, and shows it with ``show_result``.

    It begins when asked to, or by :meth:`ensure` when it is looked at; after a change it says that
    it is from before.
    """

    def __init__(
        self,
        session: Session,
        heading: str,
        work: Work[Result],
        show_result: Callable[[Result], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._work = work
        self._show_result = show_result
        self._task: BackgroundTask[Result] | None = None
        self._made_from: SeasonState | None = None
        title = PlainLabel(heading, self)
        title.setObjectName("sectionTitle")
        self.state = WrappedLabel(parent=self)
        self.state.setObjectName("faint")
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(heading)
        self.progress.setTextVisible(False)
        self.button = QPushButton(self)
        self.button.clicked.connect(self._press)
        self._heading = heading
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(self.button)
        row.addWidget(self.progress, 1)
        row.addWidget(self.state, 3)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(title)
        layout.addLayout(row)
        self._show_state("")
        session.changed.connect(self._on_changed)

    @property
    def working(self) -> bool:
        """Whether it is at it."""
        return self._task is not None

    def ensure(self) -> None:
        """Begin unless it is done already for the season as it is."""
        if not self.working and self._is_old():
            self.begin()

    def begin(self) -> None:
        """Work it out."""
        ask, work = self._session.season.ask, self._work
        self._made_from = ask.state
        task = self._session.tasks.run(lambda cancel, told: work(ask, cancel, told))
        self._task = task
        task.progressed.connect(lambda share: self.progress.setValue(round(100 * share)))
        task.ended.connect(self._take)
        self.progress.setValue(0)
        self._show_state("")

    def _press(self) -> None:
        if self._task is not None:
            self._task.call_off()
        else:
            self.begin()

    def _take(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        if task.report_error():
            self._show_state(tr("This could not be worked out. Nothing is lost."))
        elif task.called_off or task.result is None:
            self._made_from = None
            self._show_state(tr("Stopped before it was done."))
        else:
            self._show_result(task.result)
            self._show_state("")
            self._on_changed()

    def _is_old(self) -> bool:
        made, season = self._made_from, self._session.season
        return made is None or made.book is not season.book or made.learned is not season.learned

    def _on_changed(self) -> None:
        if not self.working and self._made_from is not None and self._is_old():
            self._show_state(tr("This is from before the latest change."))

    def _show_state(self, said: str) -> None:
        working = self.working
        self.state.setText(tr("Working…") if working else said)
        self.progress.setVisible(working)
        self.button.setText(tr("Stop") if working else tr("Work out again"))
        self.button.setAccessibleName(f"{self._heading}: {self.button.text()}")


_WIDEST_EM = 100


class _Part(QWidget):
    """What stands below one of the headings."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.widgets: list[QWidget] = []
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(6)

    def show_widgets(self, widgets: list[QWidget]) -> None:
        """Show these and no others."""
        for old in self.widgets:
            self._layout.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.widgets = widgets
        for widget in widgets:
            self._layout.addWidget(widget)

    @property
    def texts(self) -> list[str]:
        """The sentences."""
        return [w.text() for w in self.widgets if isinstance(w, WrappedLabel)]


class AdviceView(QScrollArea):
    """Worked out when it is first looked at; the keyboard scrolls it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("Advice"))
        inner = QWidget(self)
        inner.setMaximumWidth(_WIDEST_EM * self.fontMetrics().horizontalAdvance("m"))
        self.set_points = Working(
            session,
            tr("Thermostats"),
            Questions.set_point_advice,
            self._show_set_points,
            inner,
        )
        self.helps = Working(
            session,
            tr("What would help"),
            Questions.what_helps,
            self._show_helps,
            inner,
        )
        self.set_point_part, self.help_part = _Part(inner), _Part(inner)
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 0, 12, 8)
        layout.setSpacing(6)
        for widget in (self.set_points, self.set_point_part, self.helps, self.help_part):
            layout.addWidget(widget)
        layout.addStretch(1)
        self.setWidget(inner)

    def showEvent(self, event: QShowEvent) -> None:
        """What is not up to date is worked out when it is looked at."""
        super().showEvent(event)
        self.set_points.ensure()
        self.helps.ensure()

    def _show_set_points(self, advice: "SetPointAdvice | None") -> None:
        if advice is None:
            return
        widgets: list[QWidget] = [WrappedLabel(gain_words(advice, self._session))]
        for place in advice.places:
            widgets.append(WrappedLabel(set_point_words(place, self._session)))
            plot = SetPointPlot(self._session)
            plot.show_advice(place)
            widgets.append(plot)
        self.set_point_part.show_widgets(widgets)

    def _show_helps(self, helps: "tuple[Help, ...]") -> None:
        said = [help_words(one, self._session) for one in helps]
        if not said:
            said = [tr("More room, hands or buyers would hardly bring more.")]
        self.help_part.show_widgets([WrappedLabel(text) for text in said])
