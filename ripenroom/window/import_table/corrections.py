"""How a table was understood, to be corrected: what it holds and what its columns mean."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QScrollArea, QWidget

from ripenroom.exchange.record_table.columns import MEANINGS, Kind
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.forms.grows import grown_in, own_first
from ripenroom.window.import_table.state import TableState
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.wording.names import crop_name, feel_names


def kind_name(kind: Kind) -> str:
    """What a table holds."""
    return {
        "picks": tr("Picks"),
        "checks": tr("Checks"),
        "market days": tr("Market days"),
        "places": tr("Places"),
        "rows": tr("Rows of trees"),
        "walks": tr("Squeeze walks"),
        "weather": tr("Weather"),
    }[kind]


def meaning_name(key: str) -> str:
    """What a column means."""
    feels = dict(
        zip(("hard", "slight_give", "gives", "soft", "too_soft"), feel_names(), strict=True)
    )
    if key in feels:
        return tr("Hand feel: {feel}").format(feel=feels[key])
    return {
        "batch": tr("Batch code"),
        "crop": tr("Crop"),
        "cultivar": tr("Cultivar"),
        "row": tr("Row of trees"),
        "picked_at": tr("Picked on"),
        "picked_time": tr("Picked at (time)"),
        "count": tr("Fruit"),
        "feel": tr("Hand feel, all in one cell"),
        "weight_kg": tr("Weight"),
        "readings": tr("Gauge readings"),
        "reading_unit": tr("Gauge unit"),
        "probe_mm": tr("Probe (mm)"),
        "pulp_c": tr("Fruit temperature"),
        "place": tr("Place"),
        "note": tr("Note"),
        "at": tr("Squeezed on"),
        "at_time": tr("Squeezed at (time)"),
        "market_day": tr("Name of the market"),
        "kind": tr("Kind"),
        "starts_at": tr("Starts on"),
        "starts_time": tr("Starts at (time)"),
        "eat_within_days": tr("Eaten within (days)"),
        "wanted": tr("Wanted"),
        "price": tr("Price of one"),
        "set_point_c": tr("Temperature"),
        "half_cooling_h": tr("Cools halfway in (h)"),
        "daily_swing_k": tr("Daily swing (°C)"),
        "capacity_crates": tr("Room (crates)"),
        "weather_lag_h": tr("Behind the weather (h)"),
        "trees": tr("Trees"),
        "planted_year": tr("Planted in"),
        "bloomed_on": tr("Full bloom"),
        "fruit_on_trees": tr("Fruit on the trees"),
        "branch_counts": tr("Fruit on branches"),
        "branches_per_tree": tr("Branches on a tree"),
        "counted_on": tr("Counted on"),
        "fruit_doubt": tr("Doubt about the count"),
        "fruit_mass_g": tr("Weight of one fruit (g)"),
        "on_ground": tr("On the ground"),
        "on": tr("Day"),
        "min_c": tr("Coldest"),
        "max_c": tr("Warmest"),
        "source": tr("Where it is from"),
    }[key]


class Understood(QScrollArea):
    """A choice for each thing that was guessed of a table."""

    kindChosen = Signal(str)  # noqa: N815 - named as Qt names signals
    corrected = Signal(object)
    """A ``TableState`` with what was chosen; its rows are not looked over yet."""

    def __init__(self, session: Session, state: TableState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._state = state
        self.kind = RecordChoice(12)
        self.kind.set_choices([(kind, kind_name(kind)) for kind in MEANINGS])
        self.order = RecordChoice(14)
        self.order.set_choices(
            [
                ("ymd", tr("year, month, day")),
                ("dmy", tr("day, month, year")),
                ("mdy", tr("month, day, year")),
            ]
        )
        self.mark = RecordChoice(8)
        self.mark.set_choices([(".", tr("point: 2.5")), (",", tr("comma: 2,5"))])
        self.mass = RecordChoice(4)
        self.mass.set_choices([("kg", "kg"), ("lb", "lb")])
        self.temperature = RecordChoice(4)
        self.temperature.set_choices([("C", "°C"), ("F", "°F")])
        self.crop = RecordChoice(14)
        self.place = RecordChoice(14)
        self.meanings = [RecordChoice(14) for _ in state.grid.heads]
        self._lines: dict[str, tuple[PlainLabel, QWidget]] = {}
        side = QWidget(self)
        self._form = QGridLayout(side)
        self._build(side)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(side)
        bar = self.verticalScrollBar().sizeHint().width()
        self.setMinimumWidth(side.sizeHint().width() + bar)
        self._connect()

    def _build(self, side: QWidget) -> None:
        self._form.setColumnStretch(1, 1)
        for key, label, editor in (
            ("kind", tr("&It holds"), self.kind),
            ("order", tr("&Dates are"), self.order),
            ("mark", tr("Deci&mal mark"), self.mark),
            ("mass", tr("&Weights are in"), self.mass),
            ("temperature", tr("&Temperatures are in"), self.temperature),
            ("crop", tr("&Crop, if not given"), self.crop),
            ("place", tr("&Place, if not given"), self.place),
        ):
            self._add_line(key, label, editor)
        title = PlainLabel(tr("What its columns mean"), side)
        title.setObjectName("sectionTitle")
        self._form.addWidget(title, self._form.rowCount(), 0, 1, 2)
        for number, choices in enumerate(self.meanings):
            head = self._state.grid.heads[number]
            name = head or tr("Column {number}").format(number=number + 1)
            self._add_line(f"column {number}", name.replace("&", "&&"), choices)
        self._form.setRowStretch(self._form.rowCount(), 1)

    def _add_line(self, key: str, text: str, editor: QWidget) -> None:
        label = PlainLabel(text, self)
        label.setBuddy(editor)
        editor.setAccessibleName(text.replace("&&", "\0").replace("&", "").replace("\0", "&"))
        row = self._form.rowCount()
        self._form.addWidget(label, row, 0)
        self._form.addWidget(editor, row, 1)
        self._lines[key] = (label, editor)

    def _connect(self) -> None:
        self.kind.currentIndexChanged.connect(lambda: self.kindChosen.emit(self.kind.value()))
        for choices, name in (
            (self.order, "date_order"),
            (self.mark, "decimal_mark"),
            (self.mass, "mass_unit"),
            (self.temperature, "temperature_unit"),
        ):
            choices.currentIndexChanged.connect(self._corrector(choices, name))
        for choices in (self.crop, self.place):
            choices.currentIndexChanged.connect(self._usual_chosen)
        for number, choices in enumerate(self.meanings):
            choices.currentIndexChanged.connect(self._meaning_chooser(number))

    def _corrector(self, choices: RecordChoice, name: str) -> Callable[[], None]:
        def correct() -> None:
            doubtful = self._state.mapping.dates_doubtful and name != "date_order"
            corrected: dict[str, Any] = {name: choices.value(), "dates_doubtful": doubtful}
            mapping = replace(self._state.mapping, **corrected)
            self.corrected.emit(replace(self._state, mapping=mapping))

        return correct

    def _meaning_chooser(self, number: int) -> Callable[[], None]:
        def choose() -> None:
            key = cast(str | None, self.meanings[number].value())
            meaning_of = list(self._state.mapping.meaning_of)
            if key is not None and key in meaning_of:
                # A meaning is given once: the column that had it is left out now.
                meaning_of[meaning_of.index(key)] = None
            meaning_of[number] = key
            mapping = replace(self._state.mapping, meaning_of=tuple(meaning_of))
            self.corrected.emit(replace(self._state, mapping=mapping))

        return choose

    def _usual_chosen(self) -> None:
        usual = actions.table_rows.ImportDefaults(
            cast(str | None, self.crop.value()), cast(str | None, self.place.value())
        )
        self.corrected.emit(replace(self._state, usual=usual))

    def offer(self, kind: Kind) -> None:
        """Offer what columns of such rows can mean, and the crops and places of the season."""
        for choices in self.meanings:
            with QSignalBlocker(choices):
                choices.set_choices(
                    [
                        (None, tr("leave out")),
                        *((m.key, meaning_name(m.key)) for m in MEANINGS[kind]),
                    ]
                )
        season = self._session.season
        own = own_first(season.crops, grown_in(season.book, self._session.settings))
        for choices, offered in (
            (self.crop, [(key, crop_name(season.crops, key)) for key in own]),
            (self.place, [(key, p.name) for key, p in season.book.places.items()]),
        ):
            with QSignalBlocker(choices):
                choices.set_choices([(None, tr("choose…")), *offered])

    def follow(self, state: TableState) -> None:
        """What is chosen next corrects this state."""
        self._state = state

    def show_state(self, state: TableState) -> None:
        """Show how a table is understood, and ask only for what matters to its columns."""
        self.follow(state)
        mapping = state.mapping
        for choices, value in (
            (self.kind, mapping.kind),
            (self.order, mapping.date_order),
            (self.mark, mapping.decimal_mark),
            (self.mass, mapping.mass_unit),
            (self.temperature, mapping.temperature_unit),
            (self.crop, state.usual.crop),
            (self.place, state.usual.place_id),
            *zip(self.meanings, mapping.meaning_of, strict=True),
        ):
            with QSignalBlocker(choices):
                choices.choose(value)
        there = set(mapping.meaning_of)
        needed = {
            "mass": "weight_kg" in there,
            "temperature": bool(there & {"pulp_c", "set_point_c"}),
            "crop": mapping.kind in ("picks", "market days"),
            "place": mapping.kind == "picks",
        }
        for key, shown in needed.items():
            for widget in self._lines[key]:
                widget.setVisible(shown)
