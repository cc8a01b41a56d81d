"""Advice that takes a while: how to set thermostats, and what would help."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from ripenroom.season.questions import Questions
from ripenroom.texts import tr
from ripenroom.window.plain import set_margins
from ripenroom.window.plan.set_point_plot import SetPointPlot
from ripenroom.window.plan.working import Working
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.plan.set_points import gain_words, help_words, set_point_words

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import Help, SetPointAdvice

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
