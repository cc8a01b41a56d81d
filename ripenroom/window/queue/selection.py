"""The queue with one line selected: by mouse or keyboard, told to eye and ear."""

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import QWidget

from ripenroom.window.queue.hints import HintedPicture
from ripenroom.window.queue.queue_plan import QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import day_of, nearest_whole_day
from ripenroom.window.queue.trial import trial_words
from ripenroom.window.queue.words import line_and_plan
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import crates_words


class SelectingPicture(HintedPicture):
    """Keeps a line selected, and crates of it, through every new scene.

    ``pointed`` carries the words of what the mouse or the keyboard is on. ``left`` says that the
    selection goes on to something else, or that it may be otherwise now.
    """

    pointed = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._selected_by_hand = False
        self._marked_by_hand = False
        self.moved.connect(self._follow_view)

    def set_scene(self, scene: Scene, words: Formats) -> None:
        """Show another scene; the selection follows its batch."""
        chosen, pick = self.selected_batch(), self.selected_pick()
        super().set_scene(scene, words)
        # Until a hand selects one it is the top line, however the lines are arranged anew.
        self.selected = _line_of(scene, chosen, pick) if self._selected_by_hand else None
        if self.selected_row() is None:
            self.selected = scene.line_at(0) if scene.rows else None
        self.left.emit()
        self._keep_chosen()
        if not self._marked_by_hand:
            self.marked_day = day_of(scene.now_h, scene.zone)
        self.tell()

    def selected_batch(self) -> str | None:
        """The id of the selected batch; None if an expected pick is selected, or nothing."""
        if self.scene is None or self.selected is None or self.selected_pick() is not None:
            return None
        return self.scene.projection.batch_ids[self.selected]

    def selected_pick(self) -> str | None:
        """The id of the selected expected pick."""
        if self.scene is None or self.selected is None:
            return None
        pick = self.scene.expected_at(self.selected)
        return None if pick is None else pick.pick_id

    def select_batch(self, batch_id: str) -> None:
        """Select a batch and bring its line into sight."""
        if self.scene is not None and batch_id in self.scene.projection.line_of:
            self.select_line(self.scene.projection.line_of[batch_id])
            self.bring_into_sight()
            self.tell()

    def mark_day(self, day: date) -> None:
        """Ask about a day."""
        self.marked_day, self._marked_by_hand = day, True

    def mark_today(self) -> None:
        """Ask about today, and tomorrow about tomorrow."""
        self._marked_by_hand = False
        if self.scene is not None:
            self.marked_day = day_of(self.scene.now_h, self.scene.zone)

    def _follow_view(self) -> None:
        """A day that the view left behind is not asked about any more: the nearest in sight is."""
        if self.scene is None or self.marked_day is None:
            return
        day = nearest_whole_day(self.view, self.marked_day, self.scene.zone)
        if day != self.marked_day:
            self.mark_day(day)
        self.tell()

    def words_of_selected(self) -> str:
        """The selected line in one sentence, its plan, and what it is on the marked day.

        While something is tried for it: that, and what it costs.
        """
        if self.scene is None or self.words is None or self.selected_row() is None:
            return ""
        assert self.selected is not None
        if self.trial is not None:
            return ".\n".join(trial_words(self.scene, self.trial, self.words)) + "."
        return line_and_plan(self.scene, self.selected, self.marked_day, self.words)

    # The plan under the hand

    def chosen_way(self) -> QueueItinerary | None:
        """The crates of the selected line that the keyboard is on."""
        return self.chosen

    def choose(self, line: int, way: QueueItinerary) -> None:
        """Select a line, and crates of it."""
        self._selected_by_hand = True
        self.selected, self.chosen = line, way
        self.tell()

    def choose_next_way(self) -> None:
        """Go on to the next crates of a batch that is split."""
        ways = self._ways()
        if ways and self.chosen in ways:
            self.left.emit()
            self.chosen = ways[(ways.index(self.chosen) + 1) % len(ways)]
            self.tell()

    def subject_of(self, way: QueueItinerary) -> str:
        """Which crates of which batch: ``"P-0914-2, 3 crates"``."""
        if self.scene is None or self.words is None:
            return ""
        line = self.scene.projection.line_of.get(way.line.batch_id)
        code = "" if line is None else self.scene.facts.codes[line]
        return f"{code}, {crates_words(way.line.crates)}"

    def _ways(self) -> tuple[QueueItinerary, ...]:
        if self.scene is None or self.selected is None:
            return ()
        return self.scene.ways_of(self.selected)

    def select_line(self, line: int) -> None:
        self._selected_by_hand = True
        if line != self.selected:
            self.left.emit()
        self.selected = line
        self._keep_chosen()

    def _keep_chosen(self) -> None:
        """The crates that were chosen, if they still go that way; else the line's first."""
        ways, was = self._ways(), self.chosen

        def alike(way: QueueItinerary) -> int:
            if was is None:
                return 0
            mine, other = way.line, was.line
            same = mine.batch_id == other.batch_id
            return (
                same
                + (same and mine.market_day_id == other.market_day_id)
                + (same and mine.pull_at == other.pull_at)
            )

        self.chosen = max(ways, key=alike, default=None)

    def bring_into_sight(self) -> None:
        row, bar = self.selected_row(), self.verticalScrollBar()
        if row is not None:
            top, view = row * self.sizes.line_px, self.line_view()
            bar.setValue(int(min(max(view.top_px, top + view.line_px - view.height_px), top)))

    def tell(self) -> None:
        """Let eye, hand and listener know what is selected now."""
        said = self.words_of_selected()
        self.viewport().update()
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
            changed = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
            QAccessible.updateAccessibility(changed)
        self.pointed.emit(said)


def _line_of(scene: Scene, batch_id: str | None, pick_id: str | None) -> int | None:
    """The line of a batch or of an expected pick in another scene."""
    if batch_id is not None:
        return scene.projection.line_of.get(batch_id)
    beyond = len(scene.facts.batch_ids)
    picks = (beyond + n for n, pick in enumerate(scene.expected) if pick.pick_id == pick_id)
    return next(picks, None)
