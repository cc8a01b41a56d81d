"""What property tests draw: the same every day, other and more cases in a long random run."""

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

for module in sys.argv[1:]:
    importlib.import_module(module)
use_profile()

@draws(40)
@given(st.floats(0.0, 1000.0), st.text())
def draw(number, text):
    print(ascii((number, text)))

draw()
"""


def drawn(*modules: str, times: int = 0) -> list[str]:
    """What a test draws in a process of its own that has loaded these modules."""
    environ = {key: text for key, text in os.environ.items() if key != "RIPENROOM_RANDOM"}
    if times:
        environ["RIPENROOM_RANDOM"] = str(times)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *modules],
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
    assert 20 < len(plain) <= 40
    assert drawn("ripenroom.season.season", "ripenroom.science.spread") == plain


def test_a_long_run_draws_more_and_other_cases_each_time() -> None:
    one, other = drawn(times=3), drawn(times=3)
    assert 60 < len(one) <= 120
    assert one != other
