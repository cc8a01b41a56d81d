"""The two parts of ``constraints.txt``: what running needs, and what testing needs besides."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

ROOT = Path(__file__).resolve().parent.parent.parent
LOCK = ROOT / "constraints.txt"
PYPROJECT = ROOT / "pyproject.toml"

RUN_HEADING = "# --- to run ---"
TEST_HEADING = "# --- to test, besides ---"

Part = Literal["run", "test"]


def requirements(lock: str, part: Part) -> str:
    """The pinned packages that ``part`` needs, in the format of pip's requirements files.

    Testing needs those of running too. A text is cut out, rather than names passed beside the
    whole file, because pip 23 takes hashes from requirements files alone.

    Raises:
        ValueError: a heading is missing, so that the parts cannot be told apart.
    """
    _, found_run, rest = lock.partition(RUN_HEADING)
    to_run, found_test, to_test = rest.partition(TEST_HEADING)
    if not (found_run and found_test):
        raise ValueError(f'{LOCK.name} needs the lines "{RUN_HEADING}" and "{TEST_HEADING}"')
    return to_run if part == "run" else to_run + to_test
