"""A season that is open: its records, what the science says of them, and every action on them.

The window and the command line ask and act through this class. Each action is one transaction in
the season file, can be undone, and tells every listener afterwards. An action that is refused
raises :class:`~ripenroom.records.refusal.Refusal` (or :class:`FileRefusal` if the file cannot be
written) and changes nothing.
"""

import threading
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Batch, Move, Outcome
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.file import EXTENSION, Change, FileRefusal, SeasonFile
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.own_crop import OwnCrop
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
from ripenroom.season.findings import BatchStory, Notice, Supply
from ripenroom.season.forecast import Forecast
from ripenroom.season.moments import to_hours
from ripenroom.season.moves import moves_by_batch
from ripenroom.season.notices import notices
from ripenroom.season.own_crops import crops_of, own_crops_of
from ripenroom.season.projection import Projection
from ripenroom.season.rooms import schedules
from ripenroom.season.zones import require_known_zone, zone_of

# Neither is needed to open a season; both are imported when first asked for.
if TYPE_CHECKING:
    from ripenroom.season.crop_curves import CropCurves
    from ripenroom.season.learning.learned import Learned
    from ripenroom.season.plan import Plan

__all__ = ["EXTENSION", "FileRefusal", "LivingSeason"]

Listener = Callable[[], None]


def _system_clock() -> datetime:
    return datetime.now(UTC)


class LivingSeason:
    """One open season. Made by :meth:`open` or :meth:`create`; belongs to one thread."""

    def __init__(self, file: SeasonFile, clock: Callable[[], datetime] = _system_clock) -> None:
        self._file = file
        self._clock = clock
        self._book = file.read()
        require_known_zone(self._book.season, file.path)
        self._learned: Learned | None = None
        self._set_up()
        self._listeners: list[Listener] = []
        self._as_on: datetime | None = None
        self._moves: Mapping[str, list[Move]] | None = None
        self._plan: Plan | None = None

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        read_only: bool = False,
        clock: Callable[[], datetime] = _system_clock,
    ) -> "LivingSeason":
        """Open a season file; raises :class:`FileRefusal` with one line that says why not."""
        file = SeasonFile.open(path, read_only=read_only)
        try:
            return cls(file, clock)
        except BaseException:
            file.close()
            raise

    @classmethod
    def create(
        cls, path: Path, season: Season, clock: Callable[[], datetime] = _system_clock
    ) -> "LivingSeason":
        """Make a new season file, never over another, and open it."""
        return cls(SeasonFile.create(path, orchard.check_season(season)), clock)

    def close(self) -> None:
        """Let go of the file; nothing needs saving."""
        self._file.close()

    # What is there

    @property
    def path(self) -> Path:
        """Where the season file is."""
        return self._file.path

    @property
    def book(self) -> Book:
        """All records as they are now."""
        return self._book

    @property
    def crops(self) -> Mapping[str, CropProfile]:
        """Crop profiles by key: those that ship, over them the season's own."""
        return self._crops_here.profiles

    @property
    def own_crop_keys(self) -> frozenset[str]:
        """Keys of the profiles that come from the season file."""
        return self._crops_here.own

    @property
    def crop_problems(self) -> tuple[str, ...]:
        """Which of the season's own crops cannot be read, and why, in words; their batches have
        no projection until the profile is mended or deleted."""
        return self._crops_here.problems

    @property
    def read_only_because(self) -> str | None:
        """Why nothing can be changed, in words; None if it can."""
        return self._file.read_only_because

    @property
    def practice(self) -> bool:
        """Whether this is a practice season, whose clock stands still."""
        return self._book.season.practice_now is not None

    @property
    def zone(self) -> ZoneInfo:
        """The season's home time zone."""
        return zone_of(self._book.season)

    def now(self) -> datetime:
        """The moment that counts as now, in the home zone."""
        moment = self._as_on or self._book.season.practice_now or self._clock()
        return moment.astimezone(self.zone)

    def read_as_on(self, moment: datetime) -> None:
        """From here on take ``moment`` for now, to see what was or will be known then."""
        self._as_on = moment

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Call ``listener`` after every change; what is returned ends that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    # Batches

    def add_pick(self, entry: PickEntry) -> tuple[Batch, ...]:
        """Write down a pick; the batches that it made."""
        change = self.act(pick.add_pick(self._book, self.crops, entry, self.now()))
        return tuple(record for record in change.put if isinstance(record, Batch))

    def change_batch(self, batch: Batch, answered: frozenset[str] = frozenset()) -> None:
        """Replace a batch by a mended one of the same id; ``answered`` as in a pick's entry."""
        self.act(batches.change_batch(self._book, self.crops, batch, self.now(), answered))

    def delete_batches(self, batch_ids: Sequence[str]) -> None:
        """Take batches out of the records, with their moves and what was sold of them."""
        self.act(batches.delete_batches(self._book, batch_ids))

    def move(self, batch_ids: Sequence[str], place_id: str, at: datetime) -> None:
        """Move batches to a place at a time, which may lie ahead (a pull)."""
        self.act(batches.move(self._book, batch_ids, place_id, at.replace(microsecond=0)))

    def delete_move(self, move_id: str) -> None:
        """Take a move back, unless it is the one to a batch's first place."""
        self.act(batches.delete_move(self._book, move_id))

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
                self._book, self.crops, batch_id, count, outcome, at, market_day_id, self.now()
            )
        )

    def treat(self, batch_ids: Sequence[str], hours: float, at: datetime) -> None:
        """Give batches ethylene for ``hours`` from ``at`` on, which may lie ahead."""
        when = at.replace(microsecond=0)
        self.act(treatments.treat(self._book, self.crops, batch_ids, hours, when))

    def delete_treatment(self, treatment_id: str) -> None:
        """Take an ethylene treatment back."""
        self.act(treatments.delete_treatment(self._book, treatment_id))

    # Crops

    def crop_text(self, key: str) -> str:
        """TOML text of a crop profile, the season's own or a shipped one.

        Raises ``KeyError`` for a crop that is neither.
        """
        own = {record.key: record.text for record in own_crops_of(self._book)}
        return own[key] if key in own else shipped_text(key)

    def free_crop_letters(self) -> tuple[str, ...]:
        """Batch letters that a new crop may take, the best first."""
        return crops.free_letters(self._book, self.crops, self.own_crop_keys)

    def save_own_crop(self, text: str) -> CropProfile:
        """Make or change a crop of the season's own from TOML; the profile that it holds.

        Raises :class:`ProfileRefusal`, whose ``field`` is the dotted key that is wrong.
        """
        profile, change = crops.save_own_crop(self._book, self.crops, self.own_crop_keys, text)
        self.act(change)
        return profile

    def delete_own_crop(self, key: str) -> None:
        """Delete an own crop; the shipped one of that key, if any, counts again."""
        self.act(crops.delete_own_crop(self._book, key))

    def crop_curves(self, key: str, rate_factor: float = 1.0) -> "CropCurves":
        """What a crop's profile says by temperature, for drawing; ``KeyError`` if unknown.

        ``rate_factor`` is a cultivar's own pace.
        """
        from ripenroom.season.crop_curves import crop_curves

        return crop_curves(self.crops[key], rate_factor)

    # Orchard, places, markets, season

    def save_cultivar(self, cultivar: Cultivar) -> None:
        """Make or change a cultivar."""
        self.act(orchard.save_cultivar(self._book, self.crops, cultivar))

    def delete_cultivar(self, cultivar_id: str) -> None:
        """Delete a cultivar that nothing names."""
        self.act(orchard.delete_cultivar(self._book, cultivar_id))

    def save_row(self, row: Row) -> None:
        """Make or change a row of trees."""
        self.act(orchard.save_row(self._book, row))

    def delete_row(self, row_id: str) -> None:
        """Delete a row in which nothing was picked."""
        self.act(orchard.delete_row(self._book, row_id))

    def save_place(self, place: Place, set_point_c: float | None = None) -> None:
        """Make a place, held at ``set_point_c`` (C), or change one."""
        self.act(places.save_place(self._book, place, set_point_c))

    def delete_place(self, place_id: str) -> None:
        """Delete a place in which nothing has waited."""
        self.act(places.delete_place(self._book, place_id))

    def set_set_point(self, place_id: str, celsius: float, at: datetime | None = None) -> None:
        """Turn a place's thermostat to ``celsius`` (C) from ``at`` (now) on."""
        when = (at or self.now()).replace(microsecond=0)
        self.act(places.set_set_point(self._book, place_id, celsius, when))

    def save_market_day(self, day: MarketDay, wants: Sequence[Want]) -> None:
        """Make or change a market day and all that it wants."""
        self.act(markets.save_market_day(self._book, self.crops, day, wants, self.now()))

    def save_market_days(self, days: Sequence[tuple[MarketDay, Sequence[Want]]]) -> None:
        """Make several market days in one action, such as a weekly market."""
        now = self.now()
        changes = [markets.save_market_day(self._book, self.crops, *day, now) for day in days]
        label = changes[0].label if len(changes) == 1 else f"{len(changes)} market days"
        put = [record for change in changes for record in change.put]
        self.act(NamedChange(label, tuple(put), tuple(r for c in changes for r in c.deleted)))

    def delete_market_day(self, market_day_id: str) -> None:
        """Delete a market day on which nothing was sold."""
        self.act(markets.delete_market_day(self._book, market_day_id))

    def save_season(self, season: Season) -> None:
        """Change the season's name, zone, first day, units or currency."""
        self.act(orchard.save_season(self._book, season))

    # Undo

    def act(self, change: NamedChange) -> Change:
        """Write one action to the file and tell everyone; it can be undone."""
        done = self._file.write(change.label, change.put, change.deleted)
        self._take_over(done)
        return done

    @property
    def undo_label(self) -> str | None:
        """The action that :meth:`undo` takes back; None if there is none."""
        return self._file.undo_label

    @property
    def redo_label(self) -> str | None:
        """The action that :meth:`redo` does again; None if there is none."""
        return self._file.redo_label

    def undo(self) -> str | None:
        """Take back the latest action; its label, or None if there is none."""
        return self._follow(self._file.undo())

    def redo(self) -> str | None:
        """Do the action again that was taken back last; its label, or None if there is none."""
        return self._follow(self._file.redo())

    # What the science says

    def place_of(self, batch_id: str, at: datetime | None = None) -> Place | None:
        """Where a batch is (at a time); None before its pick."""
        when = at or self.now()
        moves = [m for m in self.moves_of(batch_id) if m.at <= when]
        return self._book.places[moves[-1].place_id] if moves else None

    def moves_of(self, batch_id: str) -> list[Move]:
        """A batch's moves, earliest first; the first brought it to its first place."""
        if self._moves is None:
            self._moves = moves_by_batch(self._book)
        return list(self._moves.get(batch_id, ()))

    def set_point_c(self, place_id: str, at: datetime | None = None) -> float:
        """Set point (C) of a place (at a time)."""
        when = at or self.now()
        return schedules(self._book, self.zone)[place_id].set_point_at(to_hours(when))

    def projection(self) -> Projection:
        """What the science says of every batch as on now; kept until something changes."""
        return self._forecast.projection(self._book, self.now())

    def preview_set_point(self, place_id: str, celsius: float) -> Projection:
        """The projection if a place were held at ``celsius`` (C) from now on; nothing is written.

        Only that place and its batches are worked out again, so this can follow a dragged slider.
        """
        places.require_place(self._book, place_id)
        places.require_set_point(celsius)
        return self._forecast.with_set_point(self._book, self.now(), place_id, celsius)

    def supply(self) -> tuple[Supply, ...]:
        """Wanted and ready fruit of every market day and crop."""
        return self._forecast.supply(self._book, self.now())

    @property
    def learned(self) -> "Learned | None":
        """What checks taught, as taken in last; None before the first time."""
        return self._learned

    def learn(self) -> "Learned":
        """Learn from all checks as on now, and :meth:`take_in` what they taught."""
        from ripenroom.season.learning.fit import fit

        learned = fit(self._book, self.crops, self.zone, self.now(), start=self._learned)
        self.take_in(learned)
        return learned

    def take_in(self, learned: "Learned | None") -> None:
        """From here on count on what was learned, in every forecast; None: on the book alone.

        What was learned from an older state of the records still holds; batches and checks that
        are newer are taken as they are. Listeners are told.
        """
        self._learned = learned
        self._forecast.take_in(learned)
        self._tell()

    def story(self, batch_id: str, by_the_book: bool = False) -> BatchStory:
        """One batch over time; raises ``Refusal`` where nothing can be said of it.

        ``by_the_book``: as before anything was learned from checks.
        """
        batch = batches.require_batch(self._book, batch_id)
        moves = self.moves_of(batch_id)
        return self._forecast.story(self._book, self.now(), batch, moves, by_the_book)

    def notices(self) -> tuple[Notice, ...]:
        """What to look at today, most urgent first."""
        return notices(self._book, self.crops, self.projection(), self.supply())

    def plan(self, cancel: threading.Event | None = None, seconds: float | None = None) -> "Plan":
        """Which crates go to which market day as on now; nothing is written.

        Worked on for so many seconds at most (five if not said), or until ``cancel`` is set. Where
        it costs nothing it keeps to the plan that was made before.
        """
        from ripenroom.season.plan import SECONDS, make_plan

        self._plan = make_plan(
            self._book,
            self.crops,
            self.now(),
            self.zone,
            before=self._plan,
            seconds=SECONDS if seconds is None else seconds,
            cancel=cancel,
        )
        return self._plan

    # How it works

    def _set_up(self) -> None:
        """Make what depends on the crops and the home zone."""
        self._crops_here = crops_of(self._book)
        self._forecast = Forecast(self.crops, self.zone, self._learned)

    def _follow(self, step: tuple[str, Change] | None) -> str | None:
        if step is None:
            return None
        label, change = step
        self._take_over(change)
        return label

    def _take_over(self, change: Change) -> None:
        if change == Change():
            return
        zone_before = self._book.season.zone
        self._book = self._book.with_changes(change.put, change.deleted)
        crops_changed = any(isinstance(r, OwnCrop) for r in (*change.put, *change.deleted))
        if crops_changed or self._book.season.zone != zone_before:
            self._set_up()
        self._moves = None
        self._tell()

    def _tell(self) -> None:
        for listener in list(self._listeners):
            listener()
