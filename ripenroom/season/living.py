"""A season that is open: its records, what the science says of them, and every action on them.

The window and the command line ask and act through this class. Each action is one transaction in
the season file, can be undone, and tells every listener afterwards. An action that is refused
raises :class:`~ripenroom.records.refusal.Refusal` (or :class:`FileRefusal` if the file cannot be
written) and changes nothing.
"""

import threading
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.file import EXTENSION, Change, FileRefusal, SeasonFile
from ripenroom.records.own_crop import OwnCrop
from ripenroom.records.place import Place
from ripenroom.records.season import Season
from ripenroom.season.changes import (
    batches,
    crops,
    places,
)
from ripenroom.season.changes.change import NamedChange, tidy
from ripenroom.season.commands.checks import CheckCommands
from ripenroom.season.commands.copies import CopyCommands
from ripenroom.season.commands.lessons import LessonCommands
from ripenroom.season.commands.logs import LogCommands
from ripenroom.season.commands.plans import PlanCommands
from ripenroom.season.commands.records import RecordCommands
from ripenroom.season.commands.tables import TableCommands
from ripenroom.season.findings import BatchStory, Notice, Supply
from ripenroom.season.forecast import Forecast
from ripenroom.season.kinds import profile_of
from ripenroom.season.moments import to_hours
from ripenroom.season.moves import moves_by_batch
from ripenroom.season.notices import notices
from ripenroom.season.own_crops import crops_of, own_crops_of
from ripenroom.season.projection import Projection
from ripenroom.season.rooms import schedules
from ripenroom.season.zones import zone_of

# Neither is needed to open a season; both are imported when first asked for.
if TYPE_CHECKING:
    from ripenroom.season.crop_curves import CropCurves
    from ripenroom.season.learning.learned import Learned
    from ripenroom.season.plans.plan import Plan

__all__ = ["EXTENSION", "FileRefusal", "LivingSeason"]

Listener = Callable[[], None]


def _system_clock() -> datetime:
    return datetime.now(UTC)


class LivingSeason(RecordCommands):
    """One open season. Made by :meth:`open` or :meth:`create`; belongs to one thread."""

    def __init__(self, file: SeasonFile, clock: Callable[[], datetime] = _system_clock) -> None:
        self._file = file
        self._clock = clock
        self._book = file.read()
        self.copies = CopyCommands(self, file.path)
        self.tables = TableCommands(self)
        self.plans = PlanCommands(self)
        self.checks = CheckCommands(self)
        self.lessons = LessonCommands(self)
        self.logs = LogCommands(self)
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
        wait_s: float = 0.0,
        heed: Callable[[float], None] = lambda _share: None,
        clock: Callable[[], datetime] = _system_clock,
    ) -> "LivingSeason":
        """Open a season file; raises :class:`FileRefusal` with one line that says why not.

        Another that has it open for changes is waited for up to ``wait_s`` seconds. ``heed`` is
        told the share that is done, and ends it early by what it raises.
        """
        file = SeasonFile.open(path, read_only=read_only, wait_s=wait_s, heed=heed)
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
        return cls(SeasonFile.create(path, tidy(season)), clock)

    def look_ahead(self, heed: Callable[[], None] = lambda: None) -> None:
        """Work out what a window shows first, so that it need not wait for that: of thousands of
        batches it takes seconds. ``heed`` is asked in between, and ends it by what it raises."""
        for ask in (self.projection, self.supply, self.notices):
            heed()
            ask()

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
    def file_is_here(self) -> bool:
        """Whether the file is still where it was opened, and no other in its place."""
        return self._file.is_here

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

    def profile_of(self, batch_id: str) -> CropProfile | None:
        """The profile that a batch goes by, of its crop or of its cultivar's group; None where
        there is no such batch, or its crop is unknown."""
        batch = self._book.batches.get(batch_id)
        return None if batch is None else profile_of(batch, self._book, self.crops)

    def crop_curves(
        self, key: str, rate_factor: float = 1.0, group: str | None = None
    ) -> "CropCurves":
        """What a crop's profile says by temperature, for drawing; ``KeyError`` if unknown.

        ``rate_factor`` is a cultivar's own pace, ``group`` the group of the crop that it is in.
        """
        from ripenroom.season.crop_curves import crop_curves

        return crop_curves(self.crops[key].of_group(group), rate_factor)

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

    def read_along(self) -> bool:
        """Take over what another window wrote to the file meanwhile; whether there was anything.

        Raises ``FileRefusal`` where the file cannot be read just now.
        """
        if not self._file.is_here or not self._file.changed_elsewhere():
            return False
        self._book = self._file.read()
        self._set_up()
        self._moves = None
        self._tell()
        return True

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
        places.new_set_point(place_id, self.now(), celsius)
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

    def plan(self, cancel: threading.Event | None = None, steps: int | None = None) -> "Plan":
        """Which crates go to which market day as on now; nothing is written.

        Worked on for so many simplex steps at most, or until ``cancel`` is set. Where
        it costs nothing it keeps to the plan that was made before.
        """
        from ripenroom.season.plans.plan import MOST_STEPS, make_plan

        self._plan = make_plan(
            self._book,
            self.crops,
            self.now(),
            self.zone,
            before=self._plan,
            steps=MOST_STEPS if steps is None else steps,
            cancel=cancel,
            learned=self._learned,
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
