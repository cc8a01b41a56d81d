"""One column of a logger's file: what it holds, where its temperatures go, and a look at them."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from ripenroom.exchange.logger_file.understanding import LoggerColumn, Role, Series, Understanding
from ripenroom.records.place import Place
from ripenroom.texts import tr
from ripenroom.window.places.logs.file_reading import role_name, series_words
from ripenroom.window.places.room_chart import RoomChart
from ripenroom.window.session import Session
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import WrappedLabel


@dataclass(frozen=True, slots=True)
class Use:
    """What a column is taken for; temperatures go to a place, or to none as yet."""

    role: Role
    place_id: str | None = None


def first_uses(
    found: Understanding, places: Sequence[Place], place_id: str | None
) -> dict[int, Use]:
    """What columns are taken for at first: a probe named after a place belongs to it.

    The first that is named after none belongs to the place ``place_id``, if that has no other.
    """
    uses = {c.number: Use(c.role) for c in found.columns}
    free: list[int] = []
    for column in found.columns:
        if column.role is Role.TEMPERATURE:
            heading = column.heading.casefold()
            named = [p.id for p in places if p.name.casefold() in heading]
            if len(named) == 1:
                uses[column.number] = Use(Role.TEMPERATURE, named[0])
            else:
                free.append(column.number)
    taken = {use.place_id for use in uses.values()}
    if free and place_id is not None and place_id not in taken:
        uses[free[0]] = Use(Role.TEMPERATURE, place_id)
    return uses


class ColumnLine(QWidget):
    """The line for one column when a logger's file is imported: its name, a choice of what it holds
    (temperatures, and of which place; times; or nothing), and a look at its temperatures.

    ``changed`` is sent when the user chooses.
    """

    changed = Signal()

    def __init__(
        self, session: Session, column: LoggerColumn, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._session = session
        self.column = column
        name = column.heading or tr("Column {number}").format(number=column.number + 1)
        self._name = WrappedLabel(parent=self)
        # Headings come from a stranger's file, and may be long.
        short = name if len(name) <= 40 else f"{name[:39]}…"
        self._name.setText(
            tr("{name}, such as “{example}”").format(name=short, example=column.example[:24])
            if column.example
            else short
        )
        self.use = RecordChoice(20)
        self.use.setAccessibleName(tr("Column {name}").format(name=short))
        self._name.setBuddy(self.use)
        self.use.activated.connect(self.changed)
        self._facts = WrappedLabel(parent=self)
        self._facts.setObjectName("faint")
        self.chart = RoomChart(session.words, self)
        head = QHBoxLayout()
        head.addWidget(self._name, 1)
        head.addWidget(self.use, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(3)
        layout.addLayout(head)
        layout.addWidget(self._facts)
        layout.addWidget(self.chart)
        self._facts.hide()
        self.chart.hide()

    def offer(self, places: Sequence[Place], use: Use) -> None:
        """Offer every use, and choose one."""
        temperature = role_name(Role.TEMPERATURE)
        choices: list[tuple[object, str]] = [
            (
                Use(Role.TEMPERATURE, place.id),
                tr("{temperature} of {place}").format(temperature=temperature, place=place.name),
            )
            for place in places
        ]
        choices.append((Use(Role.TEMPERATURE), tr("temperature: of which place?")))
        choices += [
            (Use(role), role_name(role))
            for role in (Role.LEFT_OUT, Role.MOMENT, Role.DAY, Role.CLOCK)
        ]
        self.use.set_choices(choices)
        self.use.choose(use)

    def chosen(self) -> Use:
        """What the column is taken for now."""
        use = self.use.value()
        return use if isinstance(use, Use) else Use(Role.LEFT_OUT)

    def show_series(self, series: Series | None) -> None:
        """Show the readings, beside the set point of their place; nothing for None."""
        self._facts.setVisible(series is not None)
        place_id = self.chosen().place_id
        if series is None:
            self.chart.show_picture(None, self._session.words)
            return
        self._facts.setText(series_words(series, self._session.words))
        picture = None
        if place_id is not None:
            ask = self._session.season.ask
            picture = ask.room_picture(place_id, series.times_s, series.celsius)
        self.chart.show_picture(picture, self._session.words)
