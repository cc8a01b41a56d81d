"""A season that is open: its records, what the science says of them, and the way to change them.

The window and the command line ask and act through this class. Each action is one transaction in
the season file, can be undone, and tells every listener afterwards. An action that is refused
raises :class:`~ripenroom.records.refusal.Refusal` (or :class:`FileRefusal` if the file cannot be
written) and changes nothing.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar, overload
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.file import EXTENSION, Change, FileRefusal, SeasonFile
from ripenroom.records.market import MarketDay
from ripenroom.records.orchard import OwnCrop
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.actions import batches, crops, places
from ripenroom.season.actions.action import Action, tidy
from ripenroom.season.amounts import recounted
from ripenroom.season.copies import Copies
from ripenroom.season.crop_kinds import crops_of, own_crops_of, profile_of
from ripenroom.season.forecast import Forecast
from ripenroom.season.moments import start_of_day, to_hours
from ripenroom.season.notices import Notice, notices
from ripenroom.season.projection import BatchStory, Projection, Supply
from ripenroom.season.questions import Questions
from ripenroom.season.room_clocks import Schedule, schedules
from ripenroom.season.room_report import RoomReports
from ripenroom.season.state import Changed, SeasonState, changed_between, zone_of
from ripenroom.season.whereabouts import moves_by_batch, place_at, require_place

# Neither is needed to open a season; both are imported when first asked for.
if TYPE_CHECKING:
    from ripenroom.season.crop_curves import CropCurves
    from ripenroom.season.learned import Learned
    from ripenroom.season.plans.plan import PlannedItinerary
    from ripenroom.season.room_report import RoomReport

__all__ = ["EXTENSION", "FileRefusal", "Season"]

Listener = Callable[[Changed], None]

P = ParamSpec("P")
Made = TypeVar("Made")
"""What an action made that whoever asked for it goes on with."""


def _system_clock() -> datetime:
    return datetime.now(UTC)


class Season:
    """One open season. Made by :meth:`open` or :meth:`create`; belongs to one thread."""

    def __init__(self, file: SeasonFile, clock: Callable[[], datetime] = _system_clock) -> None:
        self._file = file
        self._clock = clock
        self._book = file.read()
        self.copies = Copies(self, file.path)
        self._learned: Learned | None = None
        self._forecast = Forecast()
        self._room_reports = RoomReports()
        self._set_up()
        self._listeners: list[Listener] = []
        self._as_on: datetime | None = None
        self._moves: Mapping[str, list[Move]] | None = None
        self._schedules: Mapping[str, Schedule] | None = None

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        read_only: bool = False,
        wait_s: float = 0.0,
        heed: Callable[[float], None] = lambda _share: None,
        clock: Callable[[], datetime] = _system_clock,
    ) -> "Season":
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
        cls, path: Path, season: SeasonDetails, clock: Callable[[], datetime] = _system_clock
    ) -> "Season":
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

    @property
    def had_yesterday(self) -> bool:
        """Whether fruit was here and written down before today: without any, yesterday planned
        nothing. Of a practice season all is taken to be written down when it was done."""
        today = start_of_day(self.now().date(), self.zone)
        here = {batch.id for batch in self._book.batches.values() if batch.picked_at < today}
        if not self.practice:
            here -= self._file.batches_added_since(today)
        return bool(here)

    @property
    def state(self) -> SeasonState:
        """The season as on now; what it holds stays as it is whatever is changed later."""
        return SeasonState(self._book, self.crops, self.now(), self.zone, self._learned)

    def read_as_on(self, moment: datetime) -> None:
        """From here on take ``moment`` for now, to see what was or will be known then."""
        self._as_on = moment

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Call ``listener`` with what changed after every change; what is returned ends that."""
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
        return crops.free_letters(self._book, self.crops)

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

    # Changing it

    @overload
    def do(
        self, make: Callable[Concatenate[SeasonState, P], Action], *args: P.args, **more: P.kwargs
    ) -> None: ...

    @overload
    def do(
        self,
        make: Callable[Concatenate[SeasonState, P], tuple[Made, Action]],
        *args: P.args,
        **more: P.kwargs,
    ) -> Made: ...

    def do(
        self,
        make: Callable[Concatenate[SeasonState, P], Action | tuple[Made, Action]],
        *args: P.args,
        **more: P.kwargs,
    ) -> Made | None:
        """Carry out an action of :mod:`ripenroom.season.actions`: write it to the file and tell
        everyone. It can be undone. What it made is given back, where it says that."""
        found = make(self.state, *args, **more)
        made, action = (None, found) if isinstance(found, Action) else found
        action = self._with_what_follows(action)
        self._take_over(self._file.write(action.label, action.put, action.deleted))
        return made

    def _with_what_follows(self, action: Action) -> Action:
        """What is sold by weight follows what the season's fruit weigh, in the same action."""
        book = self._book.with_changes(action.put, action.deleted)
        crops = self.crops
        if any(isinstance(record, OwnCrop) for record in (*action.put, *action.deleted)):
            crops = crops_of(book).profiles
        more = {record.id: record for record in recounted(book, crops)}
        put = (*(r for r in action.put if r.id not in more), *more.values())
        return replace(action, put=put) if more else action

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
        before = self.state
        self._book = self._file.read()
        self._set_up()
        self._moves = self._schedules = None
        self._tell(changed_between(before, self.state))
        return True

    # What the science says

    @property
    def ask(self) -> Questions:
        """What can be asked of the season as on now."""
        return Questions(self.state)

    def room_report(self, place_id: str, crop: str | None = None) -> "RoomReport | None":
        """What a place's logs tell; None without any. Ageing is told for ``crop``, or else for
        every crop that is or was there."""
        return self._room_reports.of(self.state, place_id, crop)

    def place_of(self, batch_id: str, at: datetime | None = None) -> Place | None:
        """Where a batch is (at a time); None before its pick."""
        place_id = place_at(self.moves_of(batch_id), at or self.now())
        return None if place_id is None else self._book.places[place_id]

    def moves_of(self, batch_id: str) -> list[Move]:
        """A batch's moves, earliest first; the first brought it to its first place."""
        if self._moves is None:
            self._moves = moves_by_batch(self._book)
        return list(self._moves.get(batch_id, ()))

    def set_point_c(self, place_id: str, at: datetime | None = None) -> float:
        """Set point (C) of a place (at a time)."""
        when = at or self.now()
        if self._schedules is None:
            self._schedules = schedules(self._book, self.zone)
        return self._schedules[place_id].set_point_at(to_hours(when))

    def projection(self) -> Projection:
        """What the science says of every batch as on now; kept until something changes."""
        return self._forecast.projection(self.state)

    def preview_set_point(
        self, place_id: str, celsius: float, in_sight: Collection[str] | None = None
    ) -> Projection:
        """The projection if a place were held at ``celsius`` (C) from now on; nothing is written.

        Only that place and its batches are worked out again, and for a frame that follows a dragged
        slider only what a queue draws of those ``in_sight`` (ids); all others are as they are.
        """
        require_place(self._book, place_id)
        places.new_set_point(place_id, self.now(), celsius)
        return self._forecast.with_set_point(self.state, place_id, celsius, in_sight)

    def supply(self) -> tuple[Supply, ...]:
        """Wanted and ready fruit of every market day and crop."""
        return self._forecast.supply(self.state)

    @property
    def learned(self) -> "Learned | None":
        """What checks taught, as taken in last; None before the first time."""
        return self._learned

    def learn(self) -> "Learned":
        """Learn from all checks as on now, and :meth:`take_in` what they taught."""
        learned = self.ask.learned()
        self.take_in(learned)
        return learned

    def take_in(self, learned: "Learned | None") -> None:
        """From here on count on what was learned, in every forecast; None: on the book alone.

        What was learned from an older state of the records still holds; batches and checks that
        are newer are taken as they are. Listeners are told.
        """
        self._learned = learned
        self._tell(Changed(learned=True))

    def story(self, batch_id: str, by_the_book: bool = False) -> BatchStory:
        """One batch over time; raises ``Refusal`` where nothing can be said of it.

        ``by_the_book``: as before anything was learned from checks.
        """
        batch = batches.require_batch(self._book, batch_id)
        moves = self.moves_of(batch_id)
        return self._forecast.story(self.state, batch, moves, by_the_book)

    def probably_brought(
        self, day: MarketDay, planned: "Iterable[PlannedItinerary]" = ()
    ) -> tuple[actions.outcomes.BatchOutcome, ...]:
        """Batches that probably came to a market day, with what is ``planned`` for it."""
        from ripenroom.season.guess_of_brought import probably_brought

        return probably_brought(self._book, self.crops, self.projection(), day, planned)

    def worth_checking(self) -> tuple[str, ...]:
        """Ids of the batches that a check would tell most about, the best first."""
        from ripenroom.season.advice.check_next import worth_checking

        return worth_checking(self._book, self.projection())

    def notices(self) -> tuple[Notice, ...]:
        """What to look at today, most urgent first."""
        return notices(self._book, self.crops, self.projection(), self.supply())

    # How it works

    def _set_up(self) -> None:
        """Read the crops."""
        self._crops_here = crops_of(self._book)

    def _follow(self, step: tuple[str, Change] | None) -> str | None:
        if step is None:
            return None
        label, change = step
        self._take_over(change)
        return label

    def _take_over(self, change: Change) -> None:
        if change == Change():
            return
        before = self.state
        self._book = self._book.with_changes(change.put, change.deleted)
        if any(isinstance(record, OwnCrop) for record in (*change.put, *change.deleted)):
            self._set_up()
        self._moves = self._schedules = None
        self._tell(changed_between(before, self.state))

    def _tell(self, changed: Changed) -> None:
        for listener in list(self._listeners):
            listener(changed)
