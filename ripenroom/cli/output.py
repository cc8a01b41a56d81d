"""Prints what a command says: any text, no control characters, never into a season file."""

import contextlib
import os
import stat
import sys
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from io import TextIOBase, TextIOWrapper
from itertools import islice
from pathlib import Path
from typing import TextIO

from ripenroom.paths import copies_folder
from ripenroom.private_file import OfASeason, begins_as_season, is_season, require_no_season
from ripenroom.texts import tr


def season_printed_into(arguments: Sequence[str]) -> str | None:
    """What a season is made of that what is printed would go into, as with ``>>``: its file, its
    journal, its lock or a copy that is kept, named among some arguments or not.

    What is said of errors counts too; where that is so, it goes nowhere from here on.
    """
    found = None
    for stream in (sys.stdout, sys.stderr):
        try:
            descriptor = stream.fileno()
            into = os.fstat(descriptor)
        except (OSError, ValueError, AttributeError):  # no such output
            continue
        if not stat.S_ISREG(into.st_mode):
            continue
        season = _named(arguments, into) or _behind(descriptor, into, arguments)
        if season is not None:
            found = season
            if stream is sys.stderr:
                _send_nowhere(descriptor)
    return found


def _named(arguments: Sequence[str], into: os.stat_result) -> str | None:
    """The argument that names the season file that an output is."""
    for argument in arguments:
        if _is(Path(argument), into) and is_season(Path(argument)):
            return argument
    return None


_DOORS = Path("/proc/self/fd")
"""Where a system tells what lies behind an output."""

_MOST_LOOKED_AT = 10_000
"""So many names in folders are looked at for the one of an output, and no more: each costs the
system's answer, and whoever prints wants to wait for none of it."""


def _behind(descriptor: int, into: os.stat_result, arguments: Sequence[str]) -> str | None:
    """The name of the file behind an output, if a season is made of it.

    By what it is called, and by how it begins: it may have several names. Where the system tells
    what the file is, it is opened once more to look, as an output is mostly open to be written
    only. Elsewhere it is known from files beside those that are named, in the current folder and
    among the copies that are kept; a season in any other folder is not.
    """
    door = _DOORS / str(descriptor)
    try:
        path = door.readlink()
    except OSError:
        return next(filter(None, map(_of_a_season, _called(into, arguments))), None)
    return path.name if begins_as_season(door) else _of_a_season(path)


def _of_a_season(path: Path) -> str | None:
    """What a file is called, if a season is made of it."""
    try:
        if begins_as_season(path):
            return path.name
        require_no_season(path)
    except OfASeason:
        return path.name
    except OSError:  # none of our business
        pass
    return None


def _called(into: os.stat_result, arguments: Sequence[str]) -> Iterator[Path]:
    """The names of the file behind an output in the folders where a season may be."""
    copies = copies_folder()
    named = (Path(argument).parent for argument in arguments)
    folders = dict.fromkeys([*named, Path(), *_inside(copies)])
    for path in islice((path for folder in folders for path in _inside(folder)), _MOST_LOOKED_AT):
        if _is(path, into):
            yield path


def _inside(folder: Path) -> Iterator[Path]:
    with contextlib.suppress(OSError, ValueError):
        yield from folder.iterdir()


def _is(path: Path, into: os.stat_result) -> bool:
    try:
        return os.path.samestat(into, path.stat())
    except (OSError, ValueError):  # no such file
        return False


class Unprinted(Exception):  # noqa: N818 - what was asked for is done
    """``done`` is so, in words, but could not be printed, for ``reason``."""

    def __init__(self, done: str, reason: str) -> None:
        self.done = done
        self.reason = reason
        text = tr("{done}. That could not be printed: {reason}.")
        super().__init__(text.format(done=done.removesuffix("."), reason=reason))


@contextlib.contextmanager
def after_writing(done: str) -> Iterator[None]:
    """Print in the block what was ``done`` and saved.

    Raises :class:`Unprinted` where nobody can read it: it is done all the same, and whoever does
    it again would have it twice.
    """
    if sys.stdout is None:
        raise Unprinted(done, tr("there is no output"))
    try:
        yield
        sys.stdout.flush()
    except OSError as error:
        _forget_the_rest()
        raise Unprinted(done, error.strerror or str(error)) from error


def without_controls(text: str) -> str:
    """A text that does nothing to a terminal but show; names come from files of other people."""
    return text.translate(_CONTROLS)


_CONTROLS = {n: "\ufffd" for n in (*range(32), *range(127, 160)) if chr(n) not in "\n\t"}


class _Plain(TextIOBase):
    """An output that passes texts on :func:`without_controls`."""

    def __init__(self, output: TextIO) -> None:
        self._output = output

    def write(self, text: str, /) -> int:
        self._output.write(without_controls(text))
        return len(text)

    def flush(self) -> None:
        self._output.flush()

    def fileno(self) -> int:
        return self._output.fileno()

    def isatty(self) -> bool:
        return self._output.isatty()


@contextlib.contextmanager
def printing() -> Iterator[None]:
    """Let every text be printed, and tell at the end of the block whether all of it was.

    Raises ``OSError`` if what was printed cannot be written (``BrokenPipeError`` if whoever read
    it has gone); Python itself would only find out, and complain, as it ends.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        # A terminal that has no sign for some letter of a name shows its number instead.
        sys.stdout.reconfigure(errors="backslashreplace")
    shown = contextlib.nullcontext() if sys.stdout is None else redirect_stdout(_Plain(sys.stdout))
    try:
        try:
            with shown:
                yield
        finally:
            if sys.stdout is not None:  # as where it was closed before we began
                sys.stdout.flush()
    except OSError:
        _forget_the_rest()
        raise


def _forget_the_rest() -> None:
    """Send what is still to be printed nowhere, so that it is not tried again at the end."""
    with contextlib.suppress(OSError, AttributeError):
        _send_nowhere(sys.stdout.fileno())


def _send_nowhere(descriptor: int) -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, descriptor)
    os.close(nowhere)
