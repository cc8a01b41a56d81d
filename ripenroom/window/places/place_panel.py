"""One place on the page: name, facts, temperature, what its thermometer tells, its buttons."""

from collections.abc import Callable, Collection
from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.places.room_chart import RoomChart
from ripenroom.window.places.set_point import SetPointControl
from ripenroom.window.plain import set_hint, set_margins, unbroken
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel, tab_as_laid_out
from ripenroom.wording.names import place_kind_name
from ripenroom.wording.places import (
    air_words,
    report_words,
    short_report_words,
    trial_words,
)

_AT_ONCE: Final = 100
"""Of a season with more batches only those in sight follow a hand that moves; the others, and what
is said of all, come when it rests ..."""

_REST_MS: Final = 80
"""... for so long."""


class PlacePanel(QFrame):
    """Shows a place; :attr:`control` tries and sets its temperature, where there is a thermostat:
    else :attr:`air` says what the air goes by.

    ``in_sight`` tells which batches are seen while it tries, by id. ``editAsked`` and ``logsAsked``
    carry the place's id.
    """

    editAsked = Signal(str)  # noqa: N815 - named as Qt names signals
    logsAsked = Signal(str)  # noqa: N815

    def __init__(
        self,
        session: Session,
        place: Place,
        in_sight: Callable[[], Collection[str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("placeLine")
        self._session = session
        self.place_id = place.id
        self._in_sight = in_sight
        self._tried_c = 0.0
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._try_whole)
        self._name = WrappedLabel(parent=self)
        self._name.setObjectName("sectionTitle")
        self._facts = WrappedLabel(parent=self)
        self._facts.setObjectName("faint")
        self.edit_button = QPushButton(tr("Edit…"), self)
        self.edit_button.setAccessibleName(tr("Edit {place}").format(place=place.name))
        self.edit_button.clicked.connect(lambda: self.editAsked.emit(self.place_id))
        self.logs_button = QPushButton(tr("Log…"), self)
        self.logs_button.setAccessibleName(
            tr("Temperature log of {place}").format(place=place.name)
        )
        set_hint(
            self.logs_button,
            tr(
                "{place}: what a thermometer there recorded; you can also drop its file here"
            ).format(place=place.name),
        )
        self.logs_button.clicked.connect(lambda: self.logsAsked.emit(self.place_id))
        self.chart = RoomChart(session.words, self)
        self.report = WrappedLabel(parent=self)
        self.control = SetPointControl(place.name, session.words.temperature_unit, self)
        self.air = WrappedLabel(parent=self)
        self.trial = WrappedLabel(parent=self)
        self.trial.hide()
        self.control.tried.connect(self._try)
        self.control.dropped.connect(self._drop)
        self.control.settled.connect(self._set)
        self.control.misread.connect(self._say)
        session.previewed.connect(self._on_previewed)
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self._name, 1)
        head.addWidget(self.logs_button, 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(self.edit_button, 0, Qt.AlignmentFlag.AlignTop)
        layout = QVBoxLayout(self)
        set_margins(layout, 0, 6, 12, 8)
        layout.setSpacing(2)
        layout.addLayout(head)
        # Below the buttons: beside them they would be four short lines.
        layout.addWidget(self._facts)
        layout.addWidget(self.control)
        layout.addWidget(self.air)
        layout.addWidget(self.trial)
        layout.addWidget(self.chart)
        layout.addWidget(self.report)
        tab_as_laid_out(layout)

    def begins_at(self) -> QWidget:
        """Where the keyboard comes in: the slider, on which a slip sets nothing, else Edit."""
        place = self._session.season.book.places[self.place_id]
        return self.control.slider if place.has_thermostat else self.edit_button

    def show_place(self, place: Place, batches: int, fruit: float) -> None:
        """Show the place as it is now, with how much waits there."""
        words = self._session.words
        self._name.setText(place.name)
        facts = [place_kind_name(place.kind)]
        if batches:
            facts.append(
                tr_n(
                    "{fruit} fruit in {n} batch here", "{fruit} fruit in {n} batches here", batches
                ).format(fruit=words.number(fruit))
            )
        else:
            facts.append(tr("empty"))
        if place.capacity_crates is not None:
            facts.append(tr_n("holds {n} crate", "holds {n} crates", place.capacity_crates))
        facts.append(
            tr("cools halfway in {hours}\u00a0h").format(
                hours=words.number(place.half_cooling_h, 0 if place.half_cooling_h >= 3 else 1)
            )
        )
        if place.daily_swing_k and place.weather_lag_h is None:
            facts.append(
                tr("swings ± {difference}").format(
                    difference=words.temperature_difference(place.daily_swing_k)
                )
            )
        self._facts.setText(unbroken(" · ".join(facts)))
        writable = self._session.season.read_only_because is None
        self.control.setEnabled(writable)
        self.edit_button.setEnabled(writable)
        self.control.set_celsius(self._session.season.set_point_c(place.id))
        self.control.setVisible(place.has_thermostat)
        self.air.setVisible(not place.has_thermostat)
        air = "" if place.has_thermostat else air_words(place, self._session)
        self.air.setText(unbroken(air))
        self._show_report(writable)

    def _show_report(self, writable: bool) -> None:
        """What the dial hides, where a thermometer tells."""
        season, words = self._session.season, self._session.words
        report = season.room_report(self.place_id)
        self.chart.show_picture(report.picture if report else None, words)
        self.report.setVisible(report is not None)
        if report is not None:
            self.report.setText(unbroken(short_report_words(report, season, words)))
            set_hint(self.report, report_words(report, season, words))
        self.logs_button.setEnabled(writable or bool(season.ask.logs_of_place(self.place_id)))

    def _try(self, celsius: float) -> None:
        session, self._tried_c = self._session, celsius
        if len(session.projection().batch_ids) <= _AT_ONCE:
            self._try_whole()
            return
        session.preview_set_point(self.place_id, celsius, self._in_sight())
        self._rest.start()

    def _try_whole(self) -> None:
        session, celsius = self._session, self._tried_c
        tried = session.preview_set_point(self.place_id, celsius)
        place = session.season.book.places[self.place_id].name
        said = trial_words(place, celsius, tried, session)
        how = tr("Let go or press Enter to set it, Esc to go back.")
        self._say(f"{said} {how}")

    def _say(self, text: str) -> None:
        self.trial.setText(text)
        self.trial.show()

    def _drop(self) -> None:
        self._rest.stop()
        self.trial.hide()
        if self._session.is_previewing:
            self._session.end_preview()

    def _on_previewed(self, tried: object) -> None:
        if tried is None:  # ended by undo
            self.control.drop()

    def _set(self, celsius: float) -> None:
        session = self._session
        self._drop()
        place = session.season.book.places[self.place_id]
        said = tr("{place}: {temperature} from now on.").format(
            place=place.name, temperature=session.words.set_point(celsius)
        )
        done = session.do(said, actions.places.set_set_point, self.place_id, celsius)
        if not done:
            self.control.set_celsius(session.season.set_point_c(self.place_id))
