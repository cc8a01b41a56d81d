"""The form of a market day: new, several weeks of new ones, or one that is changed."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import cast, get_args

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QCompleter, QPushButton, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.limits import MOST_EATEN_DAYS
from ripenroom.records.market import MarketDay, MarketKind, Want
from ripenroom.records.refusal import Question, Refusal
from ripenroom.season import actions
from ripenroom.season.moments import at_local, weekly
from ripenroom.texts import tr, tr_n
from ripenroom.window.forms.crop_rows import CropRows, WantRow, crop_choices
from ripenroom.window.forms.sold_by import KnownSales
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import parse_amount
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.window.widgets.when import TimeLine
from ripenroom.wording.names import market_kind_name

_USUAL_START = time(8)


class MarketDayDialog(FormDialog):
    """Give ``day`` to change it, or ``on`` for a new one on that date (else today)."""

    def __init__(
        self,
        session: Session,
        day: MarketDay | None = None,
        on: date | None = None,
        parent: QWidget | None = None,
    ) -> None:
        self._day = day
        super().__init__(session, parent)
        self.setWindowTitle(tr("Edit market day") if day else tr("Add a market day"))
        action = tr("Save market day") if day else tr("Add market day")
        self.action_button.setText(action)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.name = TypedLine(24, tr("such as: Village market"))
        self.kind = RecordChoice(14)
        self.kind.set_choices([(kind, market_kind_name(kind)) for kind in get_args(MarketKind)])
        self.on = self._day_line(tr("Day of the market"))
        self.at = TimeLine(session.locale, self)
        self.at.setAccessibleName(tr("Time it starts"))
        self.eat_within = RecordChoice(22)
        self.kind.currentIndexChanged.connect(self._say_usual)
        self.note = TypedLine(24)
        self.add("name", Field(tr("&Name"), self.name))
        self.add("kind", Field(tr("&Kind"), self.kind))
        self.add("starts_at", Field(tr("&Day and start"), self.on, self.at))
        self.board.offer("starts_at", self._rather, self._take_day)
        self.on.dayChanged.connect(self.board.forget_answers)
        self._add_repeat()
        self.add(
            "eat_within_days",
            Field(
                tr("Buyers &eat it within"),
                self.eat_within,
                hint=tr(
                    "Fruit must be ready to eat by then. As usual: the same day at a festival, "
                    "later from a shop than from a farm stand"
                ),
            ),
        )
        self._wants: CropRows[WantRow] = CropRows(self.board, self.add_want)
        self.body.addLayout(self._wants)
        self.more = QPushButton(tr("Add another &crop"), self)
        self.more.setAutoDefault(False)
        self.more.clicked.connect(self._add_another)
        self.body.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        self.add("note", Field(tr("No&te"), self.note))
        self._fill(on)
        self._as_opened = self._typed()
        self.fit()
        self.name.setFocus()

    @property
    def rows(self) -> Sequence[WantRow]:
        """The wants' editors, from the top."""
        return self._wants.rows

    def add_want(self, want: Want | None = None) -> WantRow:
        """Another line of crop, fruit and price."""
        crops = crop_choices(self.session, want.crop if want is not None else None)
        sales = KnownSales.of(self.session.season)
        row = WantRow(self._wants.made, crops, self.session.words, want, self, sales)
        if want is None:
            row.crop.choose(self._wants.unused(crops))
        self._wants.put(row)
        row.crop.currentIndexChanged.connect(self._say_usual)
        row.removeAsked.connect(self._say_usual)
        self._say_usual()
        return row

    def _say_usual(self) -> None:
        """Offer the buyers' days; those that are usual go by the kind of day and its crops."""
        season = self.session.season
        wanted = [key for row in self.rows if (key := str(row.crop.value())) in season.crops]
        kind = cast(MarketKind, self.kind.value())
        ask = season.ask
        days = [ask.usual_days(kind, crop) for crop in wanted]
        choices: list[tuple[object, str]] = [(None, self._usual_text(days))]
        choices += [(number, self._days_text(number)) for number in range(MOST_EATEN_DAYS + 1)]
        self.eat_within.set_choices(choices)

    def _usual_text(self, days: Sequence[float]) -> str:
        if not days:
            return tr("as usual")
        low, high = min(days), max(days)
        if low == high:
            return tr("as usual ({days})").format(days=self._days_text(low))
        between = self.session.words.number_range(low, high)
        return tr("as usual ({low_high} days, by crop)").format(low_high=between)

    def _days_text(self, days: float) -> str:
        if days == 0:
            return tr("the same day")
        decimals = 0 if float(days).is_integer() else 1
        text = tr_n("{number} day", "{number} days", 1 if days == 1 else 2)
        return text.format(number=self.session.words.number(days, decimals))

    def _add_another(self) -> None:
        row = self.add_want()
        self.grow()
        row.crop.setFocus()

    def carry_out(self) -> None:
        """Save the day, or all days of the run."""
        self._wants.refuse_twice("{crop} is wanted twice. Put the whole number on one line.")
        clock, zone = self.at.typed_time("starts_at"), self.session.season.zone
        days: list[tuple[MarketDay, list[Want]]] = []
        for on in self._days():
            day = MarketDay(
                id=self._day.id if self._day else new_id(),
                name=self.name.text().strip(),
                kind=cast(MarketKind, self.kind.value()),
                starts_at=at_local(on, clock, zone),
                eat_within_days=cast("int | None", self.eat_within.value()),
                note=self.note.text().strip(),
                settled_at=self._day.settled_at if self._day else None,
            )
            days.append((day, [row.want(day.id) for row in self._wants.filled()]))
        try:
            self.session.season.do(actions.ahead.save_market_days, days)
        except Refusal as refusal:
            raise self._at_its_row(refusal) from refusal

    def done_text(self) -> str:
        """How many were added; a changed one shows its change by itself."""
        if self._day is not None or not self.repeats.isChecked():
            return ""
        return tr("Added the market day for every week until {day}.").format(
            day=self.session.words.full_day(self.until.typed_day("until"))
        )

    def loses_typed(self) -> bool:
        """Whether anything is otherwise than when it was opened."""
        return self._typed() != self._as_opened

    def _add_repeat(self) -> None:
        self.repeats = QCheckBox(tr("And every week &until"), self)
        self.until = self._day_line(tr("Last day of the weekly markets"))
        self._offered = self.until.day()
        self.on.dayChanged.connect(self._offer_until)
        self.repeats.toggled.connect(self.until.setEnabled)
        self.until.setEnabled(False)
        field = Field("", self.repeats, self.until)
        field.label.hide()
        self.add("until", field).setVisible(self._day is None)

    def _offer_until(self) -> None:
        """Four weeks on, which is the same day of the week, unless another day was said."""
        first = self.on.day()
        if first is not None and self.until.day() == self._offered:
            self._offered = first + timedelta(weeks=4)
            self.until.set_day(self._offered)

    def _day_line(self, name: str) -> DayLine:
        line = DayLine(self.session.locale, self.session.season.now, "ahead", self)
        line.setAccessibleName(name)
        return line

    def _fill(self, on: date | None) -> None:
        words, book = self.session.words, self.session.season.book
        names = sorted({day.name for day in book.market_days.values()}, key=str.casefold)
        completer = QCompleter(names, self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.name.setCompleter(completer)
        starts = words.local(self._day.starts_at if self._day else self._first_guess(on))
        self.on.set_day(starts.date())
        self.at.set_time(starts.time())
        self._offer_until()
        if self._day is not None:
            self.name.setText(self._day.name)
            self.kind.choose(self._day.kind)
            self.eat_within.choose(self._day.eat_within_days)
            self.note.setText(self._day.note)
            for want in book.wants.values():
                if want.market_day_id == self._day.id:
                    self.add_want(want)
        if not self.rows:
            self.add_want()

    def _first_guess(self, on: date | None) -> datetime:
        zone = self.session.season.zone
        return at_local(on or self.session.season.now().date(), _USUAL_START, zone)

    def _days(self) -> list[date]:
        first = self.on.typed_day("starts_at")
        self._ask_if_past(first)
        if self._day is not None or not self.repeats.isChecked():
            return [first]
        return weekly(first, self.until.typed_day("until"))

    def _ask_if_past(self, on: date) -> None:
        """Market days lie ahead: one that was moved into the past may be a slip."""
        words, today = self.session.words, self.session.season.now().date()
        was = None if self._day is None else words.local(self._day.starts_at).date()
        if on >= today or on == was or "starts_at" in self.board.answered:
            return
        ahead = today + timedelta(days=(on - today).days % 7)
        raise Question(
            "starts_at",
            "{day} is past. Is that the day you mean?",
            suggestion=ahead,
            day=words.day(on) if on.year == today.year else words.full_day(on),
        )

    def _rather(self, day: object) -> str:
        assert isinstance(day, date)
        return tr("No, {day}").format(day=self.session.words.day(day))

    def _take_day(self, day: object) -> None:
        assert isinstance(day, date)
        self.on.set_day(day)

    def _at_its_row(self, refusal: Refusal) -> Refusal:
        """A refused number of a want moves to its line: the largest was too large."""
        counts, prices = ("count", "amount"), ("price_minor", "unit_price_minor")
        if refusal.field not in counts + prices:
            return refusal
        part = "price" if refusal.field in prices else "amount"

        def number(row: WantRow) -> float:
            if part == "price":
                return self.session.words.parse_number(row.price.text()) or 0.0
            amount = parse_amount(row.count.text(), self.session.words)
            return 0.0 if amount is None else amount.number

        row = max(self.rows, key=number)
        return Refusal(row.key_of(part), refusal.text, **refusal.values)

    def _typed(self) -> list[object]:
        wants = [(row.crop.value(), row.sold.texts()) for row in self.rows]
        return [
            self.name.text(), self.kind.value(), self.on.line.text(), self.at.text(),
            self.repeats.isChecked(), self.until.line.text(), self.eat_within.value(),
            self.note.text(), wants,
        ]  # fmt: skip
