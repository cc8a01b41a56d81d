"""The actions on a season's records, one transaction each."""

from collections.abc import Sequence
from datetime import datetime

from ripenroom.records.batch import Batch, Outcome
from ripenroom.records.book import Record
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.pick_entry import PickEntry
from ripenroom.records.place import Place
from ripenroom.records.season import Season
from ripenroom.season.changes import (
    batches,
    crops,
    markets,
    orchard,
    pick,
    places,
    treatments,
)
from ripenroom.season.changes.change import NamedChange
from ripenroom.season.commands.acting import Acting


class RecordCommands(Acting):
    """What can be done to the records themselves; a living season is one of these."""

    # Batches

    def add_pick(self, entry: PickEntry) -> tuple[Batch, ...]:
        """Write down a pick; the batches that it made."""
        change = self.act(pick.add_pick(self.book, self.crops, entry, self.now()))
        return tuple(record for record in change.put if isinstance(record, Batch))

    def change_batch(self, batch: Batch, answered: frozenset[str] = frozenset()) -> None:
        """Replace a batch by a mended one of the same id; ``answered`` as in a pick's entry."""
        self.act(batches.change_batch(self.book, self.crops, batch, self.now(), answered))

    def delete_batches(self, batch_ids: Sequence[str]) -> None:
        """Take batches out of the records, with their moves and what was sold of them."""
        self.act(batches.delete_batches(self.book, batch_ids))

    def move(self, batch_ids: Sequence[str], place_id: str, at: datetime) -> None:
        """Move batches to a place at a time, which may lie ahead (a pull)."""
        self.act(batches.move(self.book, batch_ids, place_id, at.replace(microsecond=0)))

    def delete_move(self, move_id: str) -> None:
        """Take a move back, unless it is the one to a batch's first place."""
        self.act(batches.delete_move(self.book, move_id))

    def take_out(
        self,
        batch_id: str,
        count: int,
        outcome: Outcome,
        at: datetime,
        market_day_id: str | None = None,
    ) -> None:
        """Take sold or discarded fruit out of a batch."""
        self.act(
            batches.take_out(
                self.book, self.crops, batch_id, count, outcome, at, market_day_id, self.now()
            )
        )

    def treat(self, batch_ids: Sequence[str], hours: float, at: datetime) -> None:
        """Give batches ethylene for ``hours`` from ``at`` on, which may lie ahead."""
        when = at.replace(microsecond=0)
        self.act(treatments.treat(self.book, self.crops, batch_ids, hours, when))

    def delete_treatment(self, treatment_id: str) -> None:
        """Take an ethylene treatment back."""
        self.act(treatments.delete_treatment(self.book, treatment_id))

    # Crops

    def save_own_crop(self, text: str) -> CropProfile:
        """Make or change a crop of the season's own from TOML; the profile that it holds.

        Raises :class:`ProfileRefusal`, whose ``field`` is the dotted key that is wrong.
        """
        profile, change = crops.save_own_crop(self.book, self.crops, self.own_crop_keys, text)
        self.act(change)
        return profile

    def delete_own_crop(self, key: str) -> None:
        """Delete an own crop; the shipped one of that key, if any, counts again."""
        self.act(crops.delete_own_crop(self.book, key))

    # Orchard, places, markets, season

    def save_cultivar(self, cultivar: Cultivar) -> None:
        """Make or change a cultivar."""
        self.act(orchard.save_cultivar(self.book, self.crops, cultivar))

    def delete_cultivar(self, cultivar_id: str) -> None:
        """Delete a cultivar that nothing names."""
        self.act(orchard.delete_cultivar(self.book, cultivar_id))

    def save_row(self, row: Row) -> None:
        """Make or change a row of trees."""
        self.act(orchard.save_row(self.book, row))

    def delete_row(self, row_id: str) -> None:
        """Delete a row in which nothing was picked."""
        self.act(orchard.delete_row(self.book, row_id))

    def furnish(
        self, cultivars: Sequence[Cultivar], places_at_c: Sequence[tuple[Place, float]]
    ) -> None:
        """Make the cultivars and places (each held at C) that a season begins with: one action."""
        book, put = self.book, list[Record]()
        for cultivar in cultivars:
            made = orchard.save_cultivar(book, self.crops, cultivar)
            book, put = book.with_changes(made.put), [*put, *made.put]
        for place, set_point_c in places_at_c:
            made = places.save_place(book, place, set_point_c)
            book, put = book.with_changes(made.put), [*put, *made.put]
        self.act(NamedChange("what the season begins with", tuple(put)))

    def save_place(self, place: Place, set_point_c: float | None = None) -> None:
        """Make a place, held at ``set_point_c`` (C), or change one."""
        self.act(places.save_place(self.book, place, set_point_c))

    def delete_place(self, place_id: str) -> None:
        """Delete a place in which nothing has waited."""
        self.act(places.delete_place(self.book, place_id))

    def set_set_point(self, place_id: str, celsius: float, at: datetime | None = None) -> None:
        """Turn a place's thermostat to ``celsius`` (C) from ``at`` (now) on."""
        when = (at or self.now()).replace(microsecond=0)
        self.act(places.set_set_point(self.book, place_id, celsius, when))

    def save_market_day(self, day: MarketDay, wants: Sequence[Want]) -> None:
        """Make or change a market day and all that it wants."""
        self.act(markets.save_market_day(self.book, self.crops, day, wants, self.now()))

    def save_market_days(self, days: Sequence[tuple[MarketDay, Sequence[Want]]]) -> None:
        """Make several market days in one action, such as a weekly market."""
        now = self.now()
        changes = [markets.save_market_day(self.book, self.crops, *day, now) for day in days]
        label = changes[0].label if len(changes) == 1 else f"{len(changes)} market days"
        put = [record for change in changes for record in change.put]
        self.act(NamedChange(label, tuple(put), tuple(r for c in changes for r in c.deleted)))

    def delete_market_day(self, market_day_id: str) -> None:
        """Delete a market day on which nothing was sold."""
        self.act(markets.delete_market_day(self.book, market_day_id))

    def save_season(self, season: Season) -> None:
        """Change the season's name, zone, first day, units or currency."""
        self.act(orchard.save_season(self.book, season))
