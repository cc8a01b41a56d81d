"""How many cases property tests draw, and whether the same at every run.

Every day they are the same, so that a run that fails says something of the change it was made
for: the first fifth of those that ``--long`` draws. ``RIPENROOM_RANDOM=50 python -m pytest -m
hypothesis`` looks for what nobody thought of: fifty times as many cases, other ones at each run.
What it finds becomes an ``@example`` of its test.
"""

import os
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers
from hypothesis.internal.constants_ast import Constants

TIMES = int(os.environ.get("RIPENROOM_RANDOM", "0"))
"""How many times as many cases as ``--long`` a long random run draws; 0 every day."""

_EVERYDAY_PART, _FEWEST = 5, 10
"""Every day one case of so many is drawn, but not fewer than so many of what has them."""

_all = False
"""Whether this run draws all cases, as ``--long`` does."""

_EVERYDAY, _RANDOM = "ripenroom everyday", "ripenroom random"


def cases(whole: int) -> int:
    """How many of a ``whole`` number of cases this run draws."""
    if TIMES or _all:
        return whole * max(TIMES, 1)
    return max(min(whole, _FEWEST), whole // _EVERYDAY_PART)


def draws(whole: int, **more: Any) -> settings:
    """Decorator of a test that has more or fewer cases than the hundred of others."""
    return settings(max_examples=cases(whole), **more)


def first_every_day(values: Sequence[Any], everyday: int = 1) -> list[Any]:
    """Parameters of a test: the first so many every day, the others in its long run."""
    later = [pytest.param(value, marks=pytest.mark.long) for value in values[everyday:]]
    return [*values[:everyday], *later]


def lengths(variable: str, everyday: int, long: int) -> list[Any]:
    """Parameters of a test of its own chance: how many cases every day, and in its long run.

    Where the environment says how many (``RIPENROOM_KILLS=500``), so many and nothing besides.
    """
    if given := os.environ.get(variable):
        return [int(given)]
    return [everyday, pytest.param(long, marks=pytest.mark.long)]


def one_in(step: int, values: Sequence[Any]) -> list[Any]:
    """Parameters of a test: one value (a tuple: of several names) in so many every day, the others
    in its long run."""
    return [
        pytest.param(
            *(value if isinstance(value, tuple) else (value,)),
            marks=(pytest.mark.long,) if number % step else (),
        )
        for number, value in enumerate(values)
    ]


def use_profile(*, every_case: bool = False) -> None:
    """Let all tests defined from here on draw as the environment says, or every case of theirs."""
    global _all
    _all = every_case
    # Nothing may hang on how busy the machine is, and no case be kept from one run to the next.
    common: dict[str, Any] = {
        "max_examples": cases(100),
        "deadline": None,
        "database": None,
        "suppress_health_check": [HealthCheck.too_slow],
    }
    settings.register_profile(_EVERYDAY, derandomize=True, **common)
    settings.register_profile(_RANDOM, derandomize=False, print_blob=True, **common)
    settings.load_profile(_RANDOM if TIMES else _EVERYDAY)
    if not TIMES:
        # Hypothesis also draws the numbers and texts that stand in modules loaded so far: what a
        # test draws would hang on which tests ran before it, and on unrelated changes.
        providers._get_local_constants = Constants
