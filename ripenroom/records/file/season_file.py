"""A season file that is open: read it, change it by named actions, undo and redo them."""

import sqlite3
from collections.abc import Iterable
from contextlib import ExitStack, suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from ripenroom.private_file import SEASON_SUFFIX, require_no_season
from ripenroom.records.book import Book, Record
from ripenroom.records.file import action, undo_log
from ripenroom.records.file.action import Change
from ripenroom.records.file.connection import roll_back
from ripenroom.records.file.copying import needs_a_copy, readable_copy
from ripenroom.records.file.opening import ONLY_READ, make_file, open_checked
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.soundness import Heed, require_book, require_sound, unheeded
from ripenroom.records.season import SeasonDetails
from ripenroom.texts import tr

EXTENSION = SEASON_SUFFIX


class SeasonFile:
    """One open season file. Made by :meth:`open` or :meth:`create`; one thread has it at a time.

    Everything is written at once, so there is nothing to save. Methods that touch the file raise
    :class:`FileRefusal`; then nothing in it has changed.
    """

    path: Path
    read_only_because: str | None
    """Why changes are refused, in words; None when they are not."""

    def __init__(
        self, path: Path, connection: sqlite3.Connection, book: Book, reason: str | None
    ) -> None:
        self.path = path
        self.read_only_because = reason
        self._connection = connection
        self._book_as_opened: Book | None = book
        self._closing = ExitStack()
        self._labels: dict[undo_log.Direction, str | None] = {}
        self._look_at_labels()
        self._seen = self._fingerprint()

    @classmethod
    def create(
        cls, path: Path, season: SeasonDetails, records: Iterable[Record] = ()
    ) -> "SeasonFile":
        """Make a season file and open it; ``records`` are in it from the start, beyond undo.

        Raises :class:`FileRefusal` rather than write over anything.
        """
        path = path.absolute()
        with refusing(path):
            require_no_season(path, for_season=True)
        make_file(path, (season, *records))
        return cls.open(path)

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        read_only: bool = False,
        wait_s: float = 0.0,
        heed: Heed = unheeded,
    ) -> "SeasonFile":
        """Open a season file, for changes if that can be and nobody else has it so.

        Another that has it is waited for up to ``wait_s`` seconds. Every record is checked against
        its digest first. An older file is brought to the current version, after a copy of it was
        put beside it. With ``read_only`` nothing is written: an unfinished change is taken back,
        and an older file brought up to date, in a copy that is gone on closing. ``heed`` is told
        how far that is; where it raises, the file is let go of.
        """
        path = path.absolute()  # the program may change its folder
        with ExitStack() as closing, refusing(path):
            if read_only and needs_a_copy(path):
                copy = closing.enter_context(readable_copy(path))
                opened = replace(
                    open_checked(copy, closing, read_only=False, heed=heed), reason=tr(ONLY_READ)
                )
            else:
                opened = open_checked(path, closing, read_only=read_only, wait_s=wait_s, heed=heed)
            book = require_book(opened.rows, path, heed)
            file = cls(path, opened.connection, book, opened.reason)
            file._closing = closing.pop_all()
            return file

    def close(self) -> None:
        """Let go of the file; no other file is left beside it. Closing twice is harmless."""
        self._closing.close()

    def read(self) -> Book:
        """All records as they are now, checked against their digests."""
        book, self._book_as_opened = self._book_as_opened, None
        if book is not None and not self.changed_elsewhere():
            return book
        with refusing(self.path):
            self._connection.execute("BEGIN")
            try:
                book = require_book(require_sound(self._connection, self.path), self.path)
            finally:
                roll_back(self._connection)
            self._look_at_labels()
            self._seen = self._fingerprint()
            return book

    def write(
        self, label: str, put: Iterable[Record] = (), deleted: Iterable[Record] = ()
    ) -> Change:
        """Take out ``deleted``, then put in ``put``, as one action that ``undo`` takes back.

        What is given back are the records as the file now holds them: moments in whole seconds
        of UTC. An action that changes nothing is no action. Raises
        :class:`ripenroom.records.refusal.Refusal` for a value no file can keep, or if a record
        would be left without one it refers to.
        """
        self._require_writable()
        with refusing(self.path):
            change = action.write(self._connection, label, put, deleted)
            self._after_action()
            return change

    @property
    def undo_label(self) -> str | None:
        """The action that :meth:`undo` would take back; None if there is none."""
        return self._labels["undo"]

    @property
    def redo_label(self) -> str | None:
        """The action that :meth:`redo` would do again; None if there is none."""
        return self._labels["redo"]

    def batches_added_since(self, moment: datetime) -> set[str]:
        """Ids of the batches that actions wrote down from a moment on, by the computer's clock."""
        with refusing(self.path):
            return undo_log.added_since(self._connection, "batch", int(moment.timestamp()))

    def undo(self) -> tuple[str, Change] | None:
        """Take back the latest action: its label and what changed, or None if there is none."""
        return self._step("undo")

    def redo(self) -> tuple[str, Change] | None:
        """Do the action again that was taken back last: its label and what changed, or None."""
        return self._step("redo")

    def changed_elsewhere(self) -> bool:
        """Whether another program wrote or replaced the file since it was last read here."""
        with refusing(self.path):
            return self._fingerprint() != self._seen

    @property
    def is_here(self) -> bool:
        """Whether :attr:`path` still leads to this file: it may be moved, deleted or replaced."""
        try:
            there = self.path.stat()
        except OSError:
            return False
        return (there.st_dev, there.st_ino) == self._seen[1:]

    def _step(self, direction: undo_log.Direction) -> tuple[str, Change] | None:
        self._require_writable()
        with refusing(self.path):
            done = action.step(self._connection, direction)
            self._after_action()
            return done

    def _require_writable(self) -> None:
        if self.read_only_because is not None:
            raise FileRefusal("unwritable", self.read_only_because)

    def _after_action(self) -> None:
        self._book_as_opened = None
        with suppress(sqlite3.Error):  # what is done is done, even if the disk fails right after
            self._look_at_labels()

    def _look_at_labels(self) -> None:
        directions: tuple[undo_log.Direction, ...] = ("undo", "redo")
        for direction in directions:
            found = undo_log.next_step(self._connection, direction)
            writable = self.read_only_because is None
            self._labels[direction] = found[1] if found and writable else None

    def _fingerprint(self) -> tuple[int, int, int]:
        [version] = self._connection.execute("PRAGMA data_version").fetchone()
        try:
            there = self.path.stat()
        except OSError:
            return version, 0, 0
        return version, there.st_dev, there.st_ino
