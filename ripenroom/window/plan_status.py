"""How the plan stands: a line with a button that plans again or stops, and the words alone.

Today and the plan's page have the line, the queue and the market days the words.
"""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QRect, Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import ended
from ripenroom.wording.plan.itineraries import broken_pin_words


class PlanStatus(QWidget):
    """Says when the plan was made, that it is being made, or that it could not be."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plans = session.plans
        self._session = session
        self.label = WrappedLabel(parent=self)
        self.label.setObjectName("faint")
        self.button = QPushButton(self)
        self.button.setAutoDefault(False)
        self.button.clicked.connect(self._press)
        # Both words have room, so that nothing beside the button moves when a plan begins.
        for text in (tr("Stop planning"), tr("Plan again")):
            self.button.setText(text)
            self.button.setMinimumWidth(
                max(self.button.minimumWidth(), self.button.sizeHint().width())
            )
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(12)
        layout.addWidget(self.button)
        layout.addWidget(self.label, 1)
        self._plans.working_changed.connect(self._show)
        self._plans.planned.connect(self._show)
        self._show()

    @property
    def text(self) -> str:
        """What is said."""
        return self.label.text()

    def _press(self) -> None:
        if self._plans.working:
            self._plans.cancel()
        else:
            self._plans.again()

    def _show(self) -> None:
        plans = self._plans
        if plans.working:
            self.button.setText(tr("Stop planning"))
            set_hint(self.button, tr("Keep the best plan found so far"))
            said = tr("Working on the plan…")
            if plans.plan is not None and plans.plan.at_once:
                said = tr("A quick first plan; a better one is being worked out…")
        else:
            self.button.setText(tr("Plan again"))
            set_hint(self.button, tr("Make the plan again; after a change this happens by itself"))
            said = self._state()
        self.button.setAccessibleName(self.button.text())
        self.label.setText(said)

    def _state(self) -> str:
        plans = self._plans
        if plans.failed is not None:
            return tr("The plan could not be made. Nothing is lost.")
        if plans.plan is None:
            return tr("There is no plan yet.")
        if plans.plan.at_once:
            return tr("A quick first plan of {moment}. Plan again for a better one.").format(
                moment=self._session.words.moment(plans.plan.made_at)
            )
        said = tr("Plan of {moment}.").format(moment=self._session.words.moment(plans.plan.made_at))
        return ended(said.removesuffix("."))  # a time may end in a stop: "7:30 a.m."


class PlanWords(PlainLabel):
    """How the plan stands, in the corner of a picture that is empty anyway: no page gives room for
    it or moves when it is said.

    What does not fit there ends in "…"; the hint and a screen reader have all of it. The corner is
    ``room`` (left, top, width, height in pixels), asked for whenever the picture changes its size.
    """

    def __init__(self, picture: QWidget, room: Callable[[], QRect]) -> None:
        super().__init__(parent=picture)
        self._room = room
        self._said = ""
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.setAccessibleName(tr("The plan"))
        picture.installEventFilter(self)

    def say(self, text: str) -> None:
        """Say this; nothing if it is empty."""
        self._said = text
        set_hint(self, text)
        self.setAccessibleDescription(text)
        self.place()

    def place(self) -> None:
        """Stand in the corner as it is now."""
        room = self._room()
        self.setGeometry(room)
        self.setText(self._fitting(room))
        self.setVisible(bool(self._said))

    def _fitting(self, room: QRect) -> str:
        metrics, flags = self.fontMetrics(), int(Qt.TextFlag.TextWordWrap)

        def fits(text: str) -> bool:
            return metrics.boundingRect(room, flags, text).height() <= room.height()

        words = self._said.split(" ")
        whole = len(words)
        while len(words) > 1 and not fits(" ".join(words) + ("…" if len(words) < whole else "")):
            words.pop()
        return " ".join(words) + ("…" if len(words) < whole else "")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A picture of another size has another corner."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.FontChange):
            self.place()
        return super().eventFilter(watched, event)


def plan_state_words(session: Session) -> str:
    """What is to be known of the plan beside its drawing; empty if that says everything."""
    plans, season = session.plans, session.season
    if plans.working:
        if plans.plan is None:
            return tr("Planning…")
        if plans.plan.at_once:
            return tr("A quick first plan; a better one is being worked out…")
        return tr("Planning again…")
    if plans.failed is not None:
        return tr("No plan could be made. Batches and their eat-by windows stay as they are.")
    if plans.plan is None:
        return ""
    if not any(day.starts_at > season.now() for day in season.book.market_days.values()):
        return tr("Nothing is planned: no market day lies ahead.")
    broken = plans.plan.broken_pins
    there = (one for one in broken if one.pin_id in season.book.pins)
    return " ".join(broken_pin_words(one, season.book) for one in there)
