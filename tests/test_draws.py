"""What property tests draw: the same every day, more with ``--long``, others in a random run."""

import os
import subprocess
import sys
from pathlib import Path

PROGRAM = """
import importlib
import sys
from hypothesis import given
from hypothesis import strategies as st
from tests.draws import draws, use_profile

every_case, *modules = sys.argv[1:]
for module in modules:
    importlib.import_module(module)
use_profile(every_case=every_case == "True")

@draws(40)
@given(st.floats(0.0, 1000.0), st.text())
def draw(number, text):
    print(ascii((number, text)))

draw()
"""


def drawn(*modules: str, every_case: bool = False, times: int = 0) -> list[str]:
    """What a test draws in a process of its own that has loaded these modules."""
    environ = {key: text for key, text in os.environ.items() if key != "RIPENROOM_RANDOM"}
    if times:
        environ["RIPENROOM_RANDOM"] = str(times)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(every_case), *modules],
        env=environ,
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        check=True,
        timeout=100,
    )
    return done.stdout.splitlines()


def test_every_day_the_same_is_drawn_whatever_is_loaded() -> None:
    plain = drawn()
    assert 8 < len(plain) <= 13
    assert drawn("ripenroom.season.season", "ripenroom.science.spread") == plain
    whole = drawn(every_case=True)
    assert 20 < len(whole) <= 40


def test_a_random_run_draws_more_and_other_cases_each_time() -> None:
    one, other = drawn(times=3), drawn(times=3)
    assert 60 < len(one) <= 120
    assert one != other
