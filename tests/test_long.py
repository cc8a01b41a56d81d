"""Every test is an everyday one or a long run, or draws in both, and no run leaves any out."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import is_hypothesis_test

from tests.exchange.logger_file import test_malformed

ROOT = Path(__file__).resolve().parent.parent
SPLIT = "tests/exchange/logger_file/test_malformed.py"


def collected(*options: str, **variables: str) -> set[str]:
    """The names of the tests of a module with both that a run takes up."""
    pytest = [sys.executable, "-m", "pytest", "-q", "--collect-only", "-p", "no:cacheprovider"]
    done = subprocess.run(
        [*pytest, *options, SPLIT],
        cwd=ROOT,
        env={**os.environ, "RIPENROOM_RANDOM": "0", **variables},
        capture_output=True,
        text=True,
        check=True,
    )
    return {line for line in done.stdout.splitlines() if "::" in line}


@pytest.mark.long
def test_everyday_and_long_runs_are_all_tests() -> None:
    everyday, long, random = collected(), collected("--long"), collected(RIPENROOM_RANDOM="1")
    assert everyday - long
    assert long - everyday
    both = {name.partition("::")[2] for name in everyday & long}
    assert both == {name for name, test in vars(test_malformed).items() if is_hypothesis_test(test)}
    assert both
    assert everyday | long == random
