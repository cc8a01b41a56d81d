"""How a command answers: exit codes, one clear line when it will not do, and tables."""

import argparse
import contextlib
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ripenroom.cli.output import without_controls
from ripenroom.private_file import require_no_season
from ripenroom.texts import noted_n, tr, tr_n

if TYPE_CHECKING:
    import pandas as pd

    from ripenroom.records.refusal import Refusal
    from ripenroom.season.season import FileRefusal


FINE: Final = 0
BAD_USE: Final = 2
DAMAGED_OR_FOREIGN: Final = 3
UNPRINTED: Final = 4
"""What was asked for is done and saved, but it could not be printed."""


def say_refused(refusal: "Refusal") -> int:
    """Print a refusal as one line, its field first unless it begins with that; its exit code."""
    said = refusal.message
    named = not refusal.field or said.startswith(refusal.field)
    return say_bad_use(said if named else f"{refusal.field}: {said}")


def say_file_refused(refusal: "FileRefusal") -> int:
    """Print why a file was refused as one line; its exit code."""
    if refusal.file_at_fault:
        return say_not_a_good_file(refusal.message)
    return say_bad_use(refusal.message)


def say_other(error: Exception) -> int | None:
    """Say a refusal of input or of a file; its exit code, or None of any other error.

    What refuses is imported here: a command that ends well and ``--help`` do not wait for it.
    """
    from ripenroom.records.refusal import Refusal
    from ripenroom.season.season import FileRefusal

    if isinstance(error, Refusal):
        return say_refused(error)
    return say_file_refused(error) if isinstance(error, FileRefusal) else None


def say_stopped(error: OSError) -> int:
    """Print what the system would not do as one line; its exit code."""
    what = error.filename if error.filename is not None else tr("the output")
    return say_bad_use(
        tr("{what} cannot be used: {reason}.").format(what=what, reason=error.strerror or error)
    )


def say_not_a_good_file(text: str) -> int:
    """Print what is wrong with a file as one line; its exit code."""
    return _say(text, DAMAGED_OR_FOREIGN)


def say_bad_use(text: str) -> int:
    """Print what is wrong with the call as one line; its exit code."""
    return _say(text, BAD_USE)


def say_aside(text: str) -> None:
    """Print as one line what is wrong with a part only, while the rest goes on."""
    if sys.stderr is None:  # closed before we began; print would turn to the output instead
        return
    with contextlib.suppress(OSError):  # there is nowhere left to say it
        said = without_controls(" ".join(text.split()))
        print(f"ripenroom: {said}", file=sys.stderr, flush=True)


def _say(text: str, code: int) -> int:
    say_aside(text)
    return code


def add_table_arguments(parser: argparse.ArgumentParser) -> None:
    """The season, and where its table goes."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument("--csv", type=Path, metavar="FILE", help=tr("write a CSV file instead"))


def why_no_csv(options: argparse.Namespace) -> str | None:
    """Why the table may not be written where it was asked for; None if it may."""
    path: Path | None = options.csv
    try:
        if path is not None:
            require_no_season(path)
    except OSError as refusal:
        return tr("{file} cannot be written: {reason}.").format(file=path, reason=refusal.strerror)
    return None


Rows = tuple[str, str]
"""What is said of one row and of several that were written to a file."""

LINES: Final = noted_n("{n} line saved in {file}", "{n} lines saved in {file}")
ROWS: Final = noted_n("{n} row saved in {file}", "{n} rows saved in {file}")


def write_table(table: "pd.DataFrame", path: Path, rows: Rows) -> int:
    """Write a table, and say how many rows it has; the exit code."""
    from ripenroom.exchange.table_writing import write_csv

    try:
        write_csv(table, path)
    except OSError as error:
        return say_bad_use(
            tr("{file} cannot be written: {reason}.").format(
                file=path, reason=error.strerror or error
            )
        )
    print(tr_n(*rows, len(table)).format(file=path), file=sys.stderr)
    return FINE
