"""The temperature logs of one place: what they tell, and taking one out."""

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.place import TemperatureLog
from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.places.room_chart import RoomChart
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.record_list import RecordList
from ripenroom.wording.places import report_words

_LETTERS_WIDE, _LINES_HIGH = 56, 24


class LogListDialog(EnterDialog):
    """Follows the season; ``add_asked`` is whether it was left to take in another file."""

    def __init__(self, session: Session, place_id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._place_id = place_id
        self.add_asked = False
        place = session.season.book.places[place_id]
        self.setWindowTitle(tr("Temperatures of {place}").format(place=place.name))
        self.chart = RoomChart(session.words, self)
        self.report = WrappedLabel(parent=self)
        self.list = RecordList(tr("Logs"), tr("No logs: the set temperature counts."), self)
        self.list.edit_button.hide()
        self.list.addAsked.connect(self._add)
        self.list.deleteAsked.connect(self._delete)
        writable = session.season.read_only_because is None
        self.list.add_button.setEnabled(writable)
        self.list.delete_button.setVisible(writable)
        close = QPushButton(tr("Close"), self)
        close.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(10)
        layout.addWidget(self.chart)
        layout.addWidget(self.report)
        layout.addWidget(self.list, 1)
        layout.addLayout(foot)
        session.changed.connect(self._on_changed)
        self._refresh()
        self.list.begin()
        letter = self.fontMetrics()
        wide = letter.horizontalAdvance("n") * _LETTERS_WIDE
        # What the text says takes more lines in one language than in another.
        high = max(letter.height() * _LINES_HIGH, layout.totalHeightForWidth(wide))
        self.resize(QSize(wide, high).boundedTo(room_for(self)))

    def _on_changed(self, changed: Changed) -> None:
        if changed.places or changed.batches or changed.figures:
            self._refresh()

    def _refresh(self) -> None:
        session, place_id = self._session, self._place_id
        if place_id not in session.season.book.places:
            self.reject()
            return
        season, words = session.season, session.words
        report = season.room_report(place_id)
        self.chart.show_picture(report.picture if report else None, words)
        self.report.setVisible(report is not None)
        if report is not None:
            self.report.setText(report_words(report, season, words))
        logs = season.ask.logs_of_place(place_id)
        self.list.show_records([(log.id, self._words(log)) for log in logs])

    def _words(self, log: TemperatureLog) -> str:
        words = self._session.words
        name = f"{log.name}, {log.probe}" if log.probe else log.name
        return tr("{first} to {last} · {name}").format(
            first=words.moment(log.starts_at), last=words.moment(log.ends_at), name=name
        )

    def _add(self) -> None:
        self.add_asked = True
        self.accept()

    def _delete(self, log_id: str) -> None:
        self._session.do(
            tr("Log deleted. Ctrl+Z brings it back."),
            actions.places.delete_log,
            log_id,
        )
