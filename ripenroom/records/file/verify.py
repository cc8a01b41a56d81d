"""A thorough look at a season file that changes nothing."""

import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

from ripenroom.records.file import action, undo_log
from ripenroom.records.file.connection import connect, roll_back
from ripenroom.records.file.copying import needs_a_copy, readable_copy
from ripenroom.records.file.digest import digest_of
from ripenroom.records.file.migrations import CURRENT_VERSION
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.soundness import (
    BookLook,
    all_rows,
    content_problems,
    length_problems,
    require_file,
    require_season_file,
    structure_problems,
)
from ripenroom.records.file.undo_log import entries_of
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr


def verify(path: Path) -> list[str]:
    """What is wrong with a season file, each problem in words; empty if it is sound.

    Beyond what opening checks: every index, and the whole undo log, of which every step is gone
    back and forth in memory. Never writes: an unfinished change is taken back in a copy. Raises
    :class:`FileRefusal` where the file cannot be looked at (it is missing, in use or may not be
    read), never for what is in it.
    """
    problems: list[str] = []
    try:
        with refusing(path), ExitStack() as stack:
            require_file(path)
            copied = needs_a_copy(path)
            looked_at = stack.enter_context(readable_copy(path)) if copied else path
            with closing(connect(looked_at, writable=copied)) as connection:
                connection.execute("BEGIN")  # so that no change of a window falls in between
                try:
                    _look(connection, looked_at, problems)
                finally:
                    roll_back(connection)
    except FileRefusal as refusal:
        if not refusal.file_at_fault:
            raise
        problems.append(refusal.message)
    return problems


def _look(connection: sqlite3.Connection, path: Path, problems: list[str]) -> None:
    version = require_season_file(connection, path)
    problems.extend(length_problems(connection, path))
    problems.extend(structure_problems(connection, thorough=True))
    rows = all_rows(connection)
    problems.extend(content_problems(connection, rows))
    problems.extend(undo_log.step_problems(rows["undo_step"]))
    for _, _, step, label, _, log_digest in rows["undo_step"]:
        if digest_of(*entries_of(connection, step)) != log_digest:
            problems.append(
                tr("What undoes “{label}” is not as it was written.").format(label=str(label)[:40])
            )
    if not problems:
        problems.extend(BookLook(rows, version).problems())
    if not problems and version == CURRENT_VERSION:
        problems.extend(_rehearsed(connection, path))


def _rehearsed(connection: sqlite3.Connection, path: Path) -> Iterator[str]:
    """What is wrong with a way back or forth, found by going all of them in memory."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as stage:
        connection.backup(stage)
        undo_log.install(stage)
        directions: tuple[undo_log.Direction, ...] = ("redo", "undo")
        for direction in directions:
            while (found := undo_log.next_step(stage, direction)) is not None:
                try:
                    with refusing(path):
                        action.step(stage, direction)
                except (FileRefusal, Refusal) as refusal:
                    yield tr("What takes “{label:.40}” back or forth: {reason}").format(
                        label=found[1], reason=refusal.message
                    )
                    return
