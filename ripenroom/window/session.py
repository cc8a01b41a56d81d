"""What all pages share while a season is open: the season, the settings, the words, one voice."""

from collections.abc import Callable, Collection
from contextlib import suppress
from typing import Concatenate, ParamSpec, TypeVar, cast

from PySide6.QtCore import QLocale, QObject, QSettings, QTimer, Signal

from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.season import actions
from ripenroom.season.projection import Projection
from ripenroom.season.season import FileRefusal, Season
from ripenroom.season.state import Changed, SeasonState
from ripenroom.texts import use_locale
from ripenroom.window.background.learning import LearningRunner
from ripenroom.window.background.plan import PlanRunner
from ripenroom.window.background.task import BackgroundTask, Tasks
from ripenroom.wording.formats import Formats

_TICK_MS = 60_000
_LOOK_AGAIN_MS = 3_000
"""How soon a window that can only read shows what the other one wrote."""

Result = TypeVar("Result")
P = ParamSpec("P")


class Session(QObject):
    """One open season as the window sees it.

    ``changed`` follows every change of the season and every minute of the clock, with what
    :class:`~ripenroom.season.state.Changed`.
    ``previewed`` carries the projection of a set point that is only tried, or None when the trial
    is over. ``said`` carries a line for the foot of the window; ``refused`` a :class:`Refusal`
    that no field has shown. ``tasks`` runs what is worked out beside the
    window; ``plans`` keeps the season's plan up to date by it, ``learning`` what its checks taught.
    """

    changed = Signal(object)
    previewed = Signal(object)
    said = Signal(str)
    refused = Signal(object)

    def __init__(
        self,
        season: Season,
        settings: QSettings,
        locale: QLocale | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.season = season
        self.settings = settings
        self.locale = locale or QLocale()
        use_locale(self.locale.name())
        """What calendars and lines for a day go by; ``words`` goes by the same."""
        self.words = self._new_words()
        self.is_previewing = False
        """Whether a set point is shown that is only tried."""
        self._unsubscribe = season.subscribe(self._on_season_changed)
        self._clock = QTimer(self)
        self._clock.timeout.connect(lambda: self.changed.emit(Changed(clock=True)))
        if not season.practice:
            self._clock.start(_TICK_MS)
        self._reading_along = QTimer(self)
        self._reading_along.timeout.connect(self._read_along)
        if season.read_only_because is not None:
            self._reading_along.start(_LOOK_AGAIN_MS)
        self.tasks = Tasks(self)
        self.learning = LearningRunner(season, self.tasks, self)
        self.plans = PlanRunner(season, self.tasks, self.learning, self)
        self.changed.connect(self.plans.follow)
        self.learning.said.connect(self.said)
        self.changed.connect(self.learning.follow)

    def _new_words(self) -> Formats:
        return Formats(self.locale.name(), self.season.book.season, self.season.zone)

    def _on_season_changed(self, changed: Changed) -> None:
        if changed.settings:  # units, currency or zone
            self.words = self._new_words()
        self.changed.emit(changed)

    def _read_along(self) -> None:
        # While the other window writes, the file may be busy: it is looked at again soon.
        with suppress(FileRefusal):
            self.season.read_along()

    def projection(self) -> Projection:
        """Where every batch stands now."""
        return self.season.projection()

    def say(self, text: str) -> None:
        """Tell the user in passing, at the foot of the window."""
        self.said.emit(text)

    def refuse(self, refusal: Refusal) -> None:
        """Show a refusal that belongs to no field, in the bar under the page."""
        self.refused.emit(refusal)

    def run(
        self,
        done: str,
        command: Callable[[], object],
        beside: Callable[[Refusal], bool] | None = None,
    ) -> bool:
        """Carry out a command of the season; say ``done`` (if not empty) when it worked.

        A refusal goes to ``beside``, which shows it at the field that caused it and returns True;
        otherwise the window's bar shows it. Returns whether the command was carried out.
        """
        try:
            command()
        except Refusal as refusal:
            if beside is None or not beside(refusal):
                self.refuse(refusal)
            return False
        except FileRefusal as refusal:
            # No field is at fault: the disk is full, or the file was taken away.
            self.refuse(Refusal("", "{message}", message=refusal.message))
            return False
        if done:
            self.say(done)
        return True

    def do(
        self,
        done: str,
        make: Callable[Concatenate[SeasonState, P], actions.Action]
        | Callable[Concatenate[SeasonState, P], tuple[object, actions.Action]],
        *args: P.args,
        **more: P.kwargs,
    ) -> bool:
        """Carry out an action of the season, as by :meth:`run`; a refusal is shown in the bar."""
        return self.run(done, lambda: self.season.do(make, *args, **more))

    def run_beside(
        self,
        working: str,
        work: Callable[[], Result],
        then: Callable[[Result], object],
        beside: Callable[[Refusal], bool] | None = None,
    ) -> BackgroundTask[Result]:
        """Do what takes a while in a thread of its own, then ``then`` with what came of it here.

        ``work`` knows no Qt and changes nothing in the season. ``working`` is said meanwhile.
        What it refuses is shown as by :meth:`run`; so is what the system says against a file. It
        may write one, so it comes to its end even where the window is closed meanwhile.
        """
        if working:
            self.say(working)
        task = self.tasks.run(lambda _cancel, _tell: work(), to_its_end=True)

        def take() -> None:
            def finish() -> None:
                if isinstance(task.error, OSError):
                    file = str(task.error.filename or self.season.path.name)
                    raise refused_by_system(file, task.error) from task.error
                if isinstance(task.error, FileRefusal):
                    raise Refusal("", "{message}", message=task.error.message)
                if isinstance(task.error, Refusal):
                    raise task.error
                if not task.report_error():
                    then(cast(Result, task.result))

            self.run("", finish, beside)

        task.ended.connect(take)
        return task

    def preview_set_point(
        self, place_id: str, celsius: float, in_sight: Collection[str] | None = None
    ) -> Projection:
        """Show everywhere what another temperature would do, and give it; nothing is written. A
        frame of a drag is only of the batches ``in_sight`` (ids)."""
        tried = self.season.preview_set_point(place_id, celsius, in_sight)
        self.is_previewing = True
        self.previewed.emit(tried)
        return tried

    def end_preview(self) -> None:
        """Go back to showing the season as it is."""
        self.is_previewing = False
        self.previewed.emit(None)

    def close(self) -> None:
        """Stop listening and close the season file."""
        self._clock.stop()
        self._reading_along.stop()
        self.plans.close()
        self.learning.close()
        self.tasks.close()
        self._unsubscribe()
        self.season.close()
