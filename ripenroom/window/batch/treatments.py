"""The ethylene treatments of a batch, with a button to delete each."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.batch import Treatment
from ripenroom.window.session import Session


class TreatmentTable(QWidget):
    """One line per treatment: since when, and how long; hidden where there is none."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._batch_id = batch_id
        heading = QLabel(self.tr("Ethylene"), self)
        heading.setObjectName("sectionTitle")
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(heading)
        layout.addLayout(self._grid)
        self.delete_buttons: list[QPushButton] = []

    def refresh(self) -> None:
        """Show the treatments as they are now."""
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.delete_buttons = []
        season, words = self._session.season, self._session.words
        found = [t for t in season.book.treatments.values() if t.batch_id == self._batch_id]
        self.setVisible(bool(found))
        for line, treatment in enumerate(sorted(found, key=lambda t: t.at)):
            when = words.moment(treatment.at)
            if treatment.at > season.now():
                when = self.tr("{moment} (ahead)").format(moment=when)
            hours = self.tr("{hours} h").format(hours=words.number(treatment.hours))
            for column, text in enumerate((when, hours)):
                label = QLabel(text, self)
                label.setTextFormat(Qt.TextFormat.PlainText)
                self._grid.addWidget(label, line, column)
            self._grid.addWidget(self._delete_button(treatment, when), line, 2)

    def _delete_button(self, treatment: Treatment, when: str) -> QPushButton:
        button = QPushButton(self.tr("Delete"), self)
        button.setAutoDefault(False)
        button.setAccessibleName(self.tr("Delete ethylene of {moment}").format(moment=when))
        button.setEnabled(self._session.season.read_only_because is None)
        button.clicked.connect(
            lambda: self._session.run(
                self.tr("Treatment deleted. Ctrl+Z brings it back."),
                lambda: self._session.season.delete_treatment(treatment.id),
            )
        )
        self.delete_buttons.append(button)
        return button
