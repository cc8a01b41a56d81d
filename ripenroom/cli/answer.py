"""How a command answers: exit codes, and one clear line when it will not do."""

import sys
from typing import Final

from ripenroom.records.refusal import Question, Refusal
from ripenroom.season.living import FileRefusal

FINE: Final = 0
BAD_USE: Final = 2
DAMAGED_OR_FOREIGN: Final = 3

_NOT_A_GOOD_FILE = frozenset({"foreign", "newer", "damaged"})


def say_refused(refusal: Refusal) -> int:
    """Print a refusal as one line; its exit code."""
    field = f"{refusal.field}: " if refusal.field else ""
    more = " Repeat with --yes to keep it as typed." if isinstance(refusal, Question) else ""
    return _say(f"{field}{refusal.message}{more}", BAD_USE)


def say_file_refused(refusal: FileRefusal) -> int:
    """Print why a file was refused as one line; its exit code."""
    code = DAMAGED_OR_FOREIGN if refusal.kind in _NOT_A_GOOD_FILE else BAD_USE
    return _say(refusal.message, code)


def say_bad_use(text: str) -> int:
    """Print what is wrong with the call as one line; its exit code."""
    return _say(text, BAD_USE)


def _say(text: str, code: int) -> int:
    print(f"ripenroom: {' '.join(text.split())}", file=sys.stderr)
    return code
