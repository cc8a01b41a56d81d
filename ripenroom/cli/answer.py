"""How a command answers: exit codes, and one clear line when it will not do."""

import contextlib
import sys
from typing import Final

from ripenroom.cli.output import without_controls
from ripenroom.records.refusal import Refusal
from ripenroom.season.season import FileRefusal

FINE: Final = 0
BAD_USE: Final = 2
DAMAGED_OR_FOREIGN: Final = 3
UNPRINTED: Final = 4
"""What was asked for is done and saved, but it could not be printed."""


def say_refused(refusal: Refusal) -> int:
    """Print a refusal as one line, its field first unless it begins with that; its exit code."""
    said = refusal.message
    named = not refusal.field or said.startswith(refusal.field)
    return say_bad_use(said if named else f"{refusal.field}: {said}")


def say_file_refused(refusal: FileRefusal) -> int:
    """Print why a file was refused as one line; its exit code."""
    if refusal.file_at_fault:
        return say_not_a_good_file(refusal.message)
    return say_bad_use(refusal.message)


def say_stopped(error: OSError) -> int:
    """Print what the system would not do as one line; its exit code."""
    what = error.filename if error.filename is not None else "the output"
    return say_bad_use(f"{what} cannot be used: {error.strerror or error}.")


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
