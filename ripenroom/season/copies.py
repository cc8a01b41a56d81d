"""Copies of a season's file: kept ones to go back to, ones changed elsewhere, and damaged ones.

What another copy holds is brought in, or gone back to, as changes of the open season. Of a damaged
file a new one is made, with all that can still be read.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, date
from filecmp import cmp
from pathlib import Path
from typing import Protocol

from ripenroom.records.book import Book, Difference, differences, new_id
from ripenroom.records.file import SeasonFile
from ripenroom.records.file.backups import Backup, Backups, book_in, folder_of_season
from ripenroom.records.file.copying import copy_season_file as copy_file
from ripenroom.records.file.copying import readable_copy
from ripenroom.records.file.parting import book_before_parting
from ripenroom.records.file.rescue import Rescued, rescue
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.season.crop_kinds import crops_of, own_crops_of
from ripenroom.season.merging import Conflict, Merge, Side, meet
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_by_batch
from ripenroom.texts import tr

__all__ = [
    "Backup",
    "Backups",
    "Conflict",
    "Copies",
    "Difference",
    "Merge",
    "Rescued",
    "Side",
    "changes_back_to",
    "copies_in",
    "copy_file",
    "rescue_season",
]


def copies_in(folder: Path) -> tuple[Backup, ...]:
    """The copies of a season in its folder, the latest first."""
    return Backups(folder, UTC).there()


class OpenSeason(Protocol):
    """An open season."""

    @property
    def state(self) -> SeasonState:
        """The season as on now."""


class Copies:
    """Other files of a season, beside the open one.

    Files are only read, and raise ``FileRefusal`` where they cannot be.
    """

    def __init__(self, season: OpenSeason, path: Path) -> None:
        self._season = season
        self._path = path

    def write_anew(self, target: Path) -> None:
        """Write all records as they are now to a new season file, never over another.

        The file that was opened is not needed for it; its undo steps do not come along.
        """
        book = self._season.state.book
        SeasonFile.create(target, book.season, book.records()).close()

    def kept_in(self, folder: Path) -> Backups:
        """The copies of this season that are kept below ``folder``."""
        return Backups(
            folder_of_season(folder, self._season.state.book.season.id), self._season.state.zone
        )

    def keep_before_change(self, folder: Path) -> None:
        """Keep a copy of the season file as it is, unless the latest one is that already."""
        kept = self.kept_in(folder)
        latest = next(iter(kept.there()), None)
        if latest is None or not cmp(latest.path, self._path, shallow=False):
            kept.keep(self._path, self._season.state.now)

    def changes_back_to(self, backup: Path) -> tuple[Difference, ...]:
        """What going back to a copy would change."""
        return changes_back_to(self._season.state.book, backup)

    def meet(self, other: Path) -> Merge:
        """This season beside a copy of it that was changed elsewhere."""
        return self.meeting_with(other)()

    def meeting_with(self, other: Path) -> Callable[[], Merge]:
        """What works :meth:`meet` out, in any thread: of the season as it is now.

        The open file is copied at once. To read it in another thread would give up the locks that
        the process has on it (https://sqlite.org/howtocorrupt.html, section 2.2).
        """
        with ExitStack() as holding:
            mine = holding.enter_context(readable_copy(self._path))
            held = holding.pop_all()
        book = self._season.state.book

        def meeting() -> Merge:
            with held:
                theirs = _own(other, book)
                return meet(book_before_parting(mine, other), book, theirs)

        return meeting


def changes_back_to(book: Book, backup: Path) -> tuple[Difference, ...]:
    """What going back to a copy of its season would change in a book."""
    return differences(book, _own(backup, book))


def _own(path: Path, ours: Book) -> Book:
    book = book_in(path)
    if book.season.id != ours.season.id:
        raise Refusal(
            "",
            "{file} is another season, “{name}”. Only a copy of this season can be brought in.",
            file=path.name,
            name=book.season.name,
        )
    return book


def left_out(book: Book) -> Iterator[str]:
    """In words: own crops that cannot be read, and batches that no date is given for.

    A batch of a crop that cannot be read is named by its crop.
    """
    crops = crops_of(book)
    yield from crops.problems
    named = {own.key for own in own_crops_of(book)} | set(crops.profiles)
    moves = moves_by_batch(book)
    for batch in sorted(book.batches.values(), key=lambda b: (b.code, b.id)):
        if batch.crop not in named:
            yield tr("The batch “{batch:.40}”: there is no crop “{crop:.40}” here.").format(
                batch=batch.code, crop=batch.crop
            )
        elif batch.id not in moves:
            yield tr("The batch “{batch:.40}” has no place.").format(batch=batch.code)


def rescue_season(path: Path, target: Path, zone: str, first_day: date) -> Rescued:
    """Write what can be read of a damaged season file to ``target``, never over another file.

    Where the season's own record is lost, a new one takes its place, with the file's name, the
    home ``zone`` (IANA) and ``first_day``. Raises ``FileRefusal`` if nothing can be read.
    """
    instead = SeasonDetails(
        id=new_id(),
        name=path.stem,
        zone=zone,
        first_day=first_day,
        units="metric",
        currency="EUR",
    )
    return rescue(path, target, instead)
