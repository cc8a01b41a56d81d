"""What a command prints, whoever reads it."""

import contextlib
import os
import sys
from collections.abc import Iterator
from io import TextIOWrapper


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
