"""What several processes that run the tests side by side need once is made by one of them."""

import importlib
from contextlib import suppress
from pathlib import Path

import pytest

_TESTS = Path(__file__).parent


def import_a_part(config: pytest.Config) -> None:
    """In a process of pytest-xdist that is to collect all tests, import its own part of them first.

    In a fresh clone none is compiled yet, and with what pytest makes of their assertions that
    takes some ten seconds of a processor. Every process collects all of them in the same order,
    and so each would compile each; what another has compiled by then it only reads. A file that
    cannot be imported is told of where it is collected.
    """
    given = getattr(config, "workerinput", None)
    if given is None or [Path(of).absolute() for of in config.args] != [_TESTS]:
        return
    number, parts = int(given["workerid"].removeprefix("gw")), given["workercount"]
    for path in sorted(_TESTS.rglob("test_*.py"))[number % parts :: parts]:
        with suppress(Exception, pytest.skip.Exception):
            importlib.import_module(".".join(path.relative_to(_TESTS.parent).with_suffix("").parts))
