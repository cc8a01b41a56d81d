"""A line that says whether the plan is up to date, with the button that plans again or stops."""

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session


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
            self.button.setText(self.tr("Stop planning"))
            set_hint(self.button, self.tr("Keep the best plan found so far"))
            said = self.tr("Working on the plan…")
        else:
            self.button.setText(self.tr("Plan again"))
            set_hint(
                self.button, self.tr("Make the plan again; after a change this happens by itself")
            )
            said = self._state()
        self.button.setAccessibleName(self.button.text())
        self.label.setText(said)

    def _state(self) -> str:
        plans = self._plans
        if plans.failed is not None:
            return self.tr(
                "The plan could not be made. Nothing is lost; the plan from before is shown, if "
                "there is one."
            )
        if plans.plan is None:
            return self.tr("There is no plan yet.")
        return self.tr("Plan of {moment}.").format(
            moment=self._session.words.moment(plans.plan.made_at)
        )
