"""The fields of a season: name, home zone, first day, units, currency."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from PySide6.QtCore import QLocale, Qt, QTimeZone
from PySide6.QtWidgets import QCompleter, QLineEdit, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails, UnitSystem, usual_units
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import (
    RecordChoice,
    TypedLine,
    shown_price,
    typed_price,
)


class SeasonDetailsFields:
    """Editors of a season with their fields by name; filled by what the system tells."""

    def __init__(self, locale: QLocale) -> None:
        self._locale = locale
        self.name = TypedLine(20)
        self.zone = RecordChoice(20)
        self.zone.set_choices([(zone, zone.replace("_", " ")) for zone in zone_ids()])
        # Five hundred zones are found by typing, not by scrolling.
        self.zone.setEditable(True)
        self.zone.setInsertPolicy(RecordChoice.InsertPolicy.NoInsert)
        completer = self.zone.completer()
        if completer is not None:
            completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
            completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.first_day = DayLine(locale, _now, "near")
        self.units = RecordChoice(16)
        self.units.set_choices(
            [
                ("metric", tr("metric: °C, kg")),
                ("us", tr("US: °F, lb")),
            ]
        )
        self.currency = TypedLine(6)
        self.fields = {
            "name": Field(tr("&Name"), self.name),
            "zone": Field(
                tr("Home time &zone"),
                self.zone,
                hint=tr("Days begin and end there; type a part of a city's name"),
            ),
            "first_day": Field(tr("&First day"), self.first_day),
            "units": Field(tr("&Units"), self.units),
            "currency": Field(
                tr("&Currency"),
                self.currency,
                hint=tr("Three letters, such as USD or EUR"),
            ),
        }
        inner = self.zone.findChild(QLineEdit)
        if inner is not None:
            inner.setAccessibleName(self.fields["zone"].label.text().replace("&", ""))

    def fill_from_system(self, today: date) -> None:
        """Propose what the user's system says, and a season that began two weeks ago."""
        self.name.setText(tr("Season {year}").format(year=today.year))
        here = bytes(QTimeZone.systemTimeZoneId().data()).decode()
        if not self.zone.choose(here):
            self.zone.choose("UTC")
        self.first_day.set_day(today - timedelta(days=14))
        self.units.choose(usual_units(self._locale.name()))
        code = self._locale.currencySymbol(QLocale.CurrencySymbolFormat.CurrencyIsoCode)
        self.currency.setText(code or "USD")

    def fill(self, season: SeasonDetails) -> None:
        """Show a season's details."""
        self.name.setText(season.name)
        self.zone.choose(season.zone)
        self.first_day.set_day(season.first_day)
        self.units.choose(season.units)
        self.currency.setText(season.currency)

    def season(self, season_id: str, practice_now: datetime | None = None) -> SeasonDetails:
        """The season as filled in; raises ``Refusal`` for what cannot be read."""
        zone = self.zone.currentText().strip().replace(" ", "_")
        if zone not in zone_ids():
            raise Refusal(
                "zone",
                "“{typed}” is not a time zone known here. Type a part of a city's name and choose.",
                typed=zone,
            )
        name = self.name.text().strip()
        if not name:
            raise Refusal("name", "Give the season a name, such as Season 2026.")
        currency = self.currency.text().strip().upper()
        if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
            raise Refusal("currency", "Currency: type three letters, such as USD or EUR.")
        units: UnitSystem = "us" if self.units.value() == "us" else "metric"
        return SeasonDetails(
            id=season_id,
            name=name,
            zone=zone,
            first_day=self.first_day.typed_day("first_day"),
            units=units,
            currency=currency,
            practice_now=practice_now,
        )


def _now() -> datetime:
    return datetime.now(UTC).astimezone()


def zone_ids() -> list[str]:
    """Names of time zones: UTC, then by continent and city."""
    ids = (bytes(zone.data()).decode() for zone in QTimeZone.availableTimeZoneIds())
    cities = sorted({name for name in ids if "/" in name and not name.startswith("Etc/")})
    return ["UTC", *cities]


class EditSeasonDialog(FormDialog):
    """The details of a season, filled with those of the open one, and how much its hands can do."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Season details"))
        self.action_button.setText(tr("Save"))
        self.details = SeasonDetailsFields(session.locale)
        self.details.fill(session.season.book.season)
        for name, field in self.details.fields.items():
            self.add(name, field)
        self.hands = AmountLine(session.words, 8, tr("no limit"))
        self.hands.show_amount(session.season.book.season.crates_moved_per_evening)
        self.add(
            "crates_moved_per_evening",
            Field(
                tr("Crates &moved in one evening at most"),
                self.hands,
                hint=tr("As many as you can manage; the plan moves no more. Empty: no limit"),
            ),
        )
        self.move_cost = TypedLine(8, tr("an estimate"))
        cost = session.season.book.season.crate_move_minor
        if cost is not None:
            self.move_cost.setText(shown_price(cost, session.words))
        self.add(
            "crate_move_minor",
            Field(
                tr("C&ost of moving a crate, in {currency}").format(
                    currency=session.words.currency_sign
                ),
                self.move_cost,
                hint=tr(
                    "What your work on it is worth; the plan asks for no move that brings less"
                ),
            ),
        )
        self.action_button.setEnabled(session.season.read_only_because is None)
        self.fit()

    def carry_out(self) -> None:
        """Save the details."""
        season = self.session.season
        kept = season.book.season
        details = self.details.season(kept.id, kept.practice_now)
        details = replace(
            details,
            crates_moved_per_evening=self.hands.count("crates_moved_per_evening"),
            crate_move_minor=typed_price(self.move_cost, self.session.words, "crate_move_minor"),
        )
        season.do(actions.season.save, details)
