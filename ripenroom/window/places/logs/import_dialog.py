"""Taking in a logger's file: what was understood of it, to be corrected before it is accepted."""

from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QGridLayout, QProgressBar, QWidget

from ripenroom.exchange.logger_file.cells import SEPARATORS
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    LoggerClock,
    LoggerColumn,
    ReadDoubt,
    Understanding,
)
from ripenroom.exchange.text_table.source import SHEET
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.units import TemperatureUnit
from ripenroom.window.dialogs import room_for
from ripenroom.window.places.logs.column_line import ColumnLine, Use, first_uses
from ripenroom.window.places.logs.file_reading import (
    FileReading,
    clock_name,
    file_words,
    separator_name,
)
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_words import order_choices, which_day
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import WrappedLabel

_MOST_COLUMNS_SHOWN = 40
_LETTERS_WIDE, _LINES_HIGH = 92, 38
_UNITS: tuple[tuple[TemperatureUnit, str], ...] = (("C", "°C"), ("F", "°F"))


class ImportLogDialog(FormDialog):
    """Reads the file beside the window; every correction reads it again.

    What is seen is what will be taken in. Nothing is before the button is pressed, and then all of
    it in one step.
    """

    def __init__(
        self,
        session: Session,
        path: Path,
        place_id: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        self._path = path
        self._place_id = place_id
        self._corrections = Corrections()
        self._uses: dict[int, Use] = {}
        self.found: Understanding | None = None
        self.lines: dict[int, ColumnLine] = {}
        self._shown: tuple[LoggerColumn, ...] = ()
        self.setWindowTitle(tr("Temperature log {file}").format(file=path.name))
        self.action_button.setText(tr("Import"))
        self._build()
        season = session.season
        home = Home(season.zone, season.now(), season.book.season.units == "us")
        self.reading = FileReading(path, home, self)
        self.reading.progressed.connect(lambda share: self.progress.setValue(round(share * 100)))
        self.reading.understood.connect(self._show)
        self.reading.refused.connect(self._refuse)
        self._read()
        letter = self.fontMetrics()
        wanted = QSize(letter.horizontalAdvance("n") * _LETTERS_WIDE, letter.height() * _LINES_HIGH)
        self.resize(wanted.boundedTo(room_for(self)))

    def _build(self) -> None:
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(tr("Reading the file"))
        self.facts = WrappedLabel(tr("Reading…"), self)
        self.order = RecordChoice(16)
        self.clock = RecordChoice(20)
        self.unit = RecordChoice(8)
        self.separator = RecordChoice(12)
        self.body.addWidget(self.progress)
        self.body.addWidget(self.facts)
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        for number, (name, label, choices) in enumerate(
            (
                ("unit", tr("&Temperatures are in"), self.unit),
                ("date_order", tr("&Dates are written as"), self.order),
                ("clock", tr("The &logger’s clock shows"), self.clock),
                ("separator", tr("&Columns are separated by"), self.separator),
            )
        ):
            choices.activated.connect(self._correct)
            field = self.board.fields[name] = Field(label, choices, parent=self)
            grid.addWidget(field, number // 2, number % 2)
            field.hide()
        self.body.addLayout(grid)
        self.columns_heading = PlainLabel(tr("What the columns hold"), self)
        self.columns_heading.setObjectName("sectionTitle")
        self.columns_heading.hide()
        self.body.addWidget(self.columns_heading)
        self._after_heading = self.body.count()
        self.body.addStretch(1)

    # Reading

    def _read(self) -> None:
        self.board.clear()
        self.progress.setValue(0)
        self.progress.show()
        self.action_button.setEnabled(False)
        self.reading.read(self._corrections)

    def _correct(self) -> None:
        """Read again by what is chosen now."""
        order, clock, unit, separator = (
            choices.value() for choices in (self.order, self.clock, self.unit, self.separator)
        )
        found = self.found
        if found is not None and separator != found.separator:
            # Other columns: what was chosen for the old ones says nothing of them.
            self._uses = {}
        else:
            self._uses = {n: line.chosen() for n, line in self.lines.items()}
        roles = {
            column.number: use.role
            for column in (found.columns if found is not None else ())
            if (use := self._uses.get(column.number)) and use.role is not column.role
        }
        kept = self._corrections.roles if self._uses else {}
        self._corrections = Corrections(
            separator=separator if isinstance(separator, str) else None,
            date_order=order if isinstance(order, DateOrder) else None,
            clock=clock if isinstance(clock, LoggerClock) else None,
            unit=next((known for known, _ in _UNITS if known == unit), None),
            roles={**kept, **roles},
        )
        self._read()

    def _refuse(self, refusal: Refusal) -> None:
        self.progress.hide()
        if self.found is None:
            self.facts.setText(refusal.message)
        else:
            self.board.show(refusal)

    # What was understood

    def _show(self, found: Understanding) -> None:
        self.found = found
        self.progress.hide()
        words = self.session.words
        self.facts.setText("\n".join([*file_words(found, words), *self._not_shown(found)]))
        unsure: list[tuple[object, str]] = [(None, tr("choose…"))]
        orders = order_choices(found.date_orders, found.date_days, words)
        doubtful = ReadDoubt.DATE_ORDER in found.doubts
        self.order.set_choices([*(unsure if doubtful else []), *orders])
        self.order.choose(None if doubtful else found.date_order)
        self.board.fields["date_order"].setVisible(bool(found.date_orders))
        units: list[tuple[object, str]] = list(_UNITS)
        doubtful = ReadDoubt.UNIT in found.doubts
        self.unit.set_choices([*(unsure if doubtful else []), *units])
        self.unit.choose(None if doubtful else found.unit)
        self.clock.set_choices([(clock, clock_name(clock)) for clock in LoggerClock])
        self.clock.choose(found.clock)
        self.separator.set_choices([(mark, separator_name(mark)) for mark in SEPARATORS])
        self.separator.choose(found.separator)
        self.board.fields["unit"].show()
        self.board.fields["clock"].setVisible(not found.offset_told)
        self.board.fields["separator"].setVisible(found.encoding != SHEET)
        self._show_columns(found)
        self._ask(found)
        self._judge()

    def _not_shown(self, found: Understanding) -> list[str]:
        """What to say where a file has more columns than anyone could go through."""
        more = len(found.columns) - _MOST_COLUMNS_SHOWN
        if more <= 0:
            return []
        count = self.session.words.number(more)
        return [tr("{count} more columns to the right are left out.").format(count=count)]

    def _ask(self, found: Understanding) -> None:
        """Say beside the field what the file alone does not tell."""
        self.board.clear()
        if ReadDoubt.UNIT in found.doubts:
            self.board.fields["unit"].refuse(
                tr("The file does not say, and the numbers could be either.")
            )
        if ReadDoubt.DATE_ORDER in found.doubts:
            said = which_day(found.date_days, self.session.words)
            self.board.fields["date_order"].refuse(said)

    def _show_columns(self, found: Understanding) -> None:
        shown = found.columns[:_MOST_COLUMNS_SHOWN]
        if [(c.number, c.heading) for c in shown] != [(c.number, c.heading) for c in self._shown]:
            for line in self.lines.values():
                self.body.removeWidget(line)
                line.hide()
                line.deleteLater()
            self.lines = {}
            for place, column in enumerate(shown):
                line = ColumnLine(self.session, column, self)
                line.changed.connect(self._on_use)
                self.body.insertWidget(self._after_heading + place, line)
                self.lines[column.number] = line
        self._shown = shown
        self.columns_heading.show()
        places = self._places()
        uses = first_uses(found, places, self._place_id)
        series = {s.column: s for s in found.series}
        for column in shown:
            line = self.lines[column.number]
            line.column = column
            kept = self._uses.get(column.number)
            use = kept if kept is not None and kept.role is column.role else uses[column.number]
            line.offer(places, use)
            line.show_series(series.get(column.number))

    def _places(self) -> list[Place]:
        places = self.session.season.book.places.values()
        return sorted(places, key=lambda place: place.name.casefold())

    def _on_use(self) -> None:
        """Another place needs no reading anew, another kind of column does."""
        if any(line.chosen().role is not line.column.role for line in self.lines.values()):
            self._correct()
            return
        found = self.found
        assert found is not None
        self._uses = {n: line.chosen() for n, line in self.lines.items()}
        series = {s.column: s for s in found.series}
        for number, line in self.lines.items():
            line.show_series(series.get(number))
        self._judge()

    def _judge(self) -> None:
        """Whether the button may be pressed, and if not, what is missing."""
        found = self.found
        missing = ""
        if found is None or self.reading.working:
            missing = tr("The file is still being read.")
        elif found.doubts:
            missing = tr("First answer what the file does not say.")
        elif not self._new_logs():
            missing = tr("Choose the place whose temperatures these are.")
        self.action_button.setEnabled(not missing)
        set_hint(self.action_button, missing)

    # Taking in

    def _new_logs(self) -> list[actions.places.NewLog]:
        found = self.found
        assert found is not None
        return [
            actions.places.NewLog(
                place_id, self._path.name, series.probe, series.times_s, series.celsius
            )
            for series in found.series
            if (line := self.lines.get(series.column)) is not None
            and (place_id := line.chosen().place_id) is not None
        ]

    def done_text(self) -> str:
        """Where the readings went."""
        book = self.session.season.book
        names = ", ".join(sorted({book.places[log.place_id].name for log in self._new_logs()}))
        return tr("The temperatures of {places} are imported. Ctrl+Z takes them back.").format(
            places=names
        )

    def carry_out(self) -> None:
        """Take in every probe that has a place, in one step."""
        self.session.season.do(actions.places.add_logs, self._new_logs())

    def done(self, result: int) -> None:
        """Stop reading, whichever way the dialog is left."""
        self.reading.stop()
        super().done(result)
