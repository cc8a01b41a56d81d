"""Any values by every way in: each is taken or refused in words, and what is taken can be used.

Whatever a season holds that opens, all of it is projected, planned, learned from and written out;
and whatever any of that would refuse, ``verify`` calls unsound. A short run is part of the suite;
the long one is ``RIPENROOM_VALUES=10000 python -m pytest tests/test_any_values.py -s``. It counts
cases that took more than five seconds of the processor, and the most memory.
"""

import os
import random
import resource
import sys
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.validation import checked
from tests.any_values import KIND_OF, write_rows
from tests.draws import lengths
from tests.ways_in import WAYS, Ground

CASES = lengths("RIPENROOM_VALUES", everyday=80, long=96)
"""How many by all ways."""

LONG = "RIPENROOM_VALUES" in os.environ
TOO_LONG_S = 5.0
MOST_KILOBYTES = 500_000


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    return Ground(tmp_path_factory.mktemp("values"))


@pytest.mark.timeout(int(os.environ.get("RIPENROOM_VALUES", "100")) + 300)
@pytest.mark.parametrize("cases", CASES)
@pytest.mark.parametrize("way", WAYS)
def test_any_values_are_taken_or_refused_in_words(way: str, cases: int, ground: Ground) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    outcomes: Counter[str] = Counter()
    longest, longest_case, too_long = 0.0, "", 0
    for number in range(max(1, cases // len(WAYS))):
        seed = f"{way} {number}"
        ground.clear()
        began = time.process_time()
        try:
            outcomes[WAYS[way](ground, random.Random(seed))] += 1
        except BaseException as error:
            error.add_note(f"seed: {seed!r}")
            raise
        took = time.process_time() - began
        too_long += took > TOO_LONG_S
        if took > longest:
            longest, longest_case = took, seed
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # Within the suite, what other tests of this process took before is not counted.
    grown = memory if LONG else memory - before
    print(f"{way}: {dict(outcomes)}; longest {longest:.1f} s ({longest_case}), {memory} kB")
    assert outcomes["taken"] > 0
    if LONG:
        assert too_long == 0
    if sys.platform == "linux":
        assert grown < MOST_KILOBYTES


def test_the_seasons_to_begin_from_are_sound(ground: Ground, tmp_path: Path) -> None:
    for number, path in enumerate(ground.files):
        assert verify(path) == []
        for record in (ground.books[number].season, *ground.books[number].records()):
            assert checked(record) == record
        copy = tmp_path / "copy.ripenroom"
        assert write_rows(copy, path, ground.members[number])
        assert verify(copy) == []
        with closing(SeasonFile.open(copy)) as file:
            assert file.read() == ground.books[number]
        for shelf, kind in KIND_OF.items():
            if number == 0:
                assert ground.members[0][shelf], kind
