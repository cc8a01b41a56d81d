"""A thorough look at a season file that changes nothing."""

from contextlib import closing
from pathlib import Path

from ripenroom.records.file.connection import connect
from ripenroom.records.file.digest import digest_of
from ripenroom.records.file.migrations import CURRENT_VERSION
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.soundness import (
    all_rows,
    content_problems,
    require_book,
    require_file,
    require_season_file,
    structure_problems,
)
from ripenroom.records.file.undo_log import entries_of


def verify(path: Path) -> list[str]:
    """What is wrong with a season file, each problem in words; empty if it is sound.

    Beyond what opening checks: every index, and the whole undo log. Never writes, never raises
    for what is in the file.
    """
    problems: list[str] = []
    try:
        require_file(path)
        with refusing(path), closing(connect(path, writable=False)) as connection:
            version = require_season_file(connection, path)
            problems.extend(structure_problems(connection, thorough=True))
            rows = all_rows(connection)
            problems.extend(content_problems(connection, rows))
            for _, _, step, label, _, log_digest in rows["undo_step"]:
                if digest_of(*entries_of(connection, step)) != log_digest:
                    problems.append(f"What undoes “{str(label)[:40]}” is not as it was written.")
            if not problems and version == CURRENT_VERSION:
                require_book(rows, path)
    except FileRefusal as refusal:
        problems.append(refusal.message)
    return problems
