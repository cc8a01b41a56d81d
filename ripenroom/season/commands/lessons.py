"""Commands on lessons: what this season taught, and what it begins from."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.lesson import Lesson
from ripenroom.records.refusal import Refusal
from ripenroom.season.changes import lessons
from ripenroom.season.commands.checks import Learning
from ripenroom.season.own_crops import crops_of
from ripenroom.season.state import SeasonState
from ripenroom.season.zones import zone_of

if TYPE_CHECKING:
    from ripenroom.season.lessons import SharedLessons


class LessonCommands:
    """What can be done with lessons; taking and deleting are one step of undo each."""

    def __init__(self, season: Learning) -> None:
        self._season = season

    def taught(self) -> "SharedLessons":
        """What this season's own checks taught, for others to begin from."""
        from ripenroom.season.lessons import lessons_of

        season = self._season
        return lessons_of(season.state)

    def of_season_file(self, path: Path) -> "SharedLessons":
        """What another season taught; its file is only read. Raises ``Refusal``."""
        from ripenroom.season.lessons import lessons_of

        try:
            file = SeasonFile.open(path, read_only=True)
        except FileRefusal as refusal:
            raise Refusal("", "{message}", message=refusal.message) from refusal
        try:
            book = file.read()
        except FileRefusal as refusal:
            raise Refusal("", "{message}", message=refusal.message) from refusal
        finally:
            file.close()
        if book.season.id == self._season.book.season.id:
            raise Refusal("", "That is this season itself: it learns from its own checks already.")
        checked = [check.at for check in book.checks.values()]
        now = max(checked, default=self._season.now())
        return lessons_of(SeasonState(book, crops_of(book).profiles, now, zone_of(book.season)))

    def take(self, shared: "SharedLessons") -> tuple[Lesson, ...]:
        """Begin from what another season taught; the lessons that were taken."""
        season = self._season
        done = season.act(lessons.take_lessons(season.book, season.crops, shared))
        return tuple(record for record in done.put if isinstance(record, Lesson))

    def delete(self, lesson_ids: Sequence[str]) -> None:
        """Drop lessons."""
        self._season.act(lessons.delete_lessons(self._season.book, lesson_ids))
