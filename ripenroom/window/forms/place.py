"""Adding a place, changing one, deleting one."""

from typing import cast

from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.place import USUAL_PLACES, Place, PlaceKind
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.units import fahrenheit_degrees_from_kelvins
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, typed_number
from ripenroom.wording.names import place_kind_name


class PlaceDialog(FormDialog):
    """The fields of a place; a new one also gets its first set point."""

    def __init__(
        self, session: Session, place_id: str | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._place = session.season.book.places[place_id] if place_id else None
        self.setWindowTitle(
            tr("Edit {place}").format(place=self._place.name) if self._place else tr("Add a place")
        )
        self.action_button.setText(tr("Save") if self._place else tr("Add"))
        words = session.words
        unit = words.temperature_unit
        self.name = TypedLine(18)
        self.kind = RecordChoice(12)
        kinds: list[PlaceKind] = list(USUAL_PLACES)
        self.kind.set_choices([(kind, place_kind_name(kind)) for kind in kinds])
        self.set_point = TypedLine(6)
        self.half_cooling = TypedLine(6)
        self.swing = TypedLine(6)
        self.capacity = AmountLine(session.words)
        self.weather_lag = TypedLine(6)
        self.add("name", Field(tr("&Name"), self.name))
        self.add("kind", Field(tr("&Kind"), self.kind))
        # A thermostat is turned on the page Places; where there is none, this is the only place.
        self._asks_temperature = self._place is None or not self._place.has_thermostat
        if self._asks_temperature:
            self.add(
                "set_point_c",
                Field(tr("&Temperature, °{unit}").format(unit=unit), self.set_point),
            )
        self.add(
            "half_cooling_h",
            Field(
                tr("Cools &halfway in, hours"),
                self.half_cooling,
                hint=tr(
                    "How long warm fruit in its crate takes to get halfway to the air’s "
                    "temperature: leave a probe in one and watch. 6 to 8 hours is usual in still "
                    "air."
                ),
            ),
        )
        self.add(
            "daily_swing_k",
            Field(
                tr("Daily s&wing, ± °{unit}").format(unit=unit),
                self.swing,
                hint=tr("How far the air goes above and below that temperature in a day"),
            ),
        )
        self.add(
            "capacity_crates",
            Field(
                tr("&Room for crates"),
                self.capacity,
                hint=tr("Empty: any number"),
            ),
        )
        self.add(
            "weather_lag_h",
            Field(
                tr("&Follows the weather, hours behind"),
                self.weather_lag,
                hint=tr(
                    "For field bins and sheds: the hours in which the air inside gets halfway to "
                    "the air outdoors, on days whose weather is known. Empty: the temperature "
                    "above counts."
                ),
            ),
        )
        self._shown_set_point: str | None = None
        self._fill()
        self.kind.activated.connect(self._on_kind)
        self.delete_button = QPushButton(tr("Delete place"), self)
        self.delete_button.setAutoDefault(False)
        self.delete_button.clicked.connect(self._delete)
        self.delete_button.setVisible(self._place is not None)
        self.buttons.insertWidget(0, self.delete_button)
        self.fit()

    def _fill(self) -> None:
        words, place = self.session.words, self._place
        if place is None:
            self._on_kind()
            return
        self.name.setText(place.name)
        set_point_c = self.session.season.set_point_c(place.id)
        self.set_point.setText(words.set_point(set_point_c).split(" ")[0])
        self._shown_set_point = self.set_point.text()
        self.kind.choose(place.kind)
        self.half_cooling.setText(words.number(place.half_cooling_h, 1))
        self.swing.setText(self._difference(place.daily_swing_k))
        self.capacity.setText("" if place.capacity_crates is None else str(place.capacity_crates))
        lag_h = place.weather_lag_h
        self.weather_lag.setText("" if lag_h is None else words.number(lag_h, 1))

    def _difference(self, kelvins: float) -> str:
        words = self.session.words
        fahrenheit = words.temperature_unit == "F"
        return words.number(fahrenheit_degrees_from_kelvins(kelvins) if fahrenheit else kelvins, 1)

    def _on_kind(self) -> None:
        # A new place of a kind begins with what is usual for it; an edited one keeps its own.
        usual = USUAL_PLACES.get(cast(PlaceKind, self.kind.value()))
        if self._place is not None or usual is None:
            return
        words = self.session.words
        # In Fahrenheit whole degrees: nobody turns a thermostat to 37.4.
        decimals = 0 if words.temperature_unit == "F" else 1
        self.set_point.setText(words.temperature(usual.set_point_c, decimals).split(" ")[0])
        self.half_cooling.setText(words.number(usual.half_cooling_h, 1))
        self.swing.setText(self._difference(usual.daily_swing_k))

    def carry_out(self) -> None:
        """Save the place."""
        words = self.session.words
        kind = self.kind.value()
        place = Place(
            id=self._place.id if self._place else new_id(),
            name=self.name.text().strip(),
            kind=next(known for known in USUAL_PLACES if known == kind),
            half_cooling_h=typed_number(self.half_cooling, words, "half_cooling_h"),
            daily_swing_k=words.difference_k(typed_number(self.swing, words, "daily_swing_k")),
            capacity_crates=self.capacity.count("capacity_crates"),
            weather_lag_h=typed_number(self.weather_lag, words, "weather_lag_h")
            if self.weather_lag.text().strip()
            else None,
        )
        set_point_c = None
        if self._asks_temperature and self.set_point.text() != self._shown_set_point:
            set_point_c = words.parse_temperature_c(self.set_point.text())
            if set_point_c is None:
                raise Refusal(
                    "set_point_c",
                    "Type a number here, not “{typed}”.",
                    typed=self.set_point.text().strip(),
                )
        self.session.season.do(actions.places.save, place, set_point_c)

    def _delete(self) -> None:
        place = self._place
        assert place is not None
        self.board.clear()
        if self.session.run(
            tr("Deleted {place}. Ctrl+Z brings it back.").format(place=place.name),
            lambda: self.session.season.do(actions.places.delete, place.id),
            self.board.show,
        ):
            self.done(FormDialog.DialogCode.Accepted)
