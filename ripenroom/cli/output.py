"""What a command prints, whoever reads it."""

import contextlib
import os
import sys
from collections.abc import Iterator
from io import TextIOWrapper
from pathlib import Path


def goes_into(path: Path) -> bool:
    """Whether what is printed goes into a file that a command reads, as with ``>> SEASON``."""
    try:
        return os.path.samestat(os.fstat(sys.stdout.fileno()), path.stat()) and path.is_file()
    except (OSError, AttributeError):  # there is no such file, or no output, or it is none
        return False


class Unprinted(Exception):  # noqa: N818 - what was asked for is done
    """``done`` is so, in words, but could not be printed, for ``reason``."""

    def __init__(self, done: str, reason: str) -> None:
        self.done = done
        self.reason = reason
        super().__init__(f"{done}. That could not be printed: {reason}.")


@contextlib.contextmanager
def after_writing(done: str) -> Iterator[None]:
    """Print in the block what was ``done`` and saved.

    Raises :class:`Unprinted` where nobody can read it: it is done all the same, and whoever does
    it again would have it twice.
    """
    if sys.stdout is None:
        raise Unprinted(done, "there is no output")
    try:
        yield
        sys.stdout.flush()
    except OSError as error:
        _forget_the_rest()
        raise Unprinted(done, error.strerror or str(error)) from error


@contextlib.contextmanager
def printing() -> Iterator[None]:
    """Let every text be printed, and tell at the end of the block whether all of it was.

    Raises ``OSError`` if what was printed cannot be written (``BrokenPipeError`` if whoever read
    it has gone); Python itself would only find out, and complain, as it ends.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        # A terminal that has no sign for some letter of a name shows its number instead.
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        try:
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
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
