"""A process killed at any moment: what it said was done is done, the rest all or nothing."""

import os
import random
import signal
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file import SeasonFile, verify
from tests.draws import lengths

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="needs fork and SIGKILL, which Windows has not"
)


def keep_writing(path: Path, first: int, invented: Any, acknowledged: int) -> None:
    """In a child: add picks, take every third one back and do it again, and say each when done."""
    file = SeasonFile.open(path)
    number = first
    while True:
        batch = invented.batch(number)
        file.write(f"Add pick {number}", [batch, invented.move_of(batch)])
        os.write(acknowledged, f"{number}\n".encode())
        if number % 3 == 0:
            file.undo()
            file.redo()
        number += 1


@pytest.mark.parametrize("kills", lengths("RIPENROOM_KILLS", everyday=8, long=40))
def test_what_was_acknowledged_survives_kill_9(
    season_file: SeasonFile, invented: Any, kills: int
) -> None:
    season_file.close()
    path = season_file.path
    chance = random.Random(9)
    stored = 0
    for _ in range(kills):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                os.close(reading)
                keep_writing(path, stored, invented, writing)
            finally:
                os._exit(1)
        os.close(writing)
        said = os.read(reading, 1)  # wait until it is writing
        time.sleep(chance.uniform(0, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        while more := os.read(reading, 65536):
            said += more
        os.close(reading)
        acknowledged = int(said.split()[-1]) + 1

        file = SeasonFile.open(path)
        assert file.read_only_because is None, "a dead process still holds the lock"
        book = file.read()
        numbers = {int(batch_id.removeprefix("batch-")) for batch_id in book.batches}
        # The latest pick may be between its undo and its redo; all before it are there.
        allowed = {acknowledged - 1, acknowledged, acknowledged + 1}
        assert len(numbers) in allowed
        assert numbers == set(range(len(numbers)))
        if len(numbers) < acknowledged:
            assert file.redo_label == f"Add pick {acknowledged - 1}"
            file.redo()
            book = file.read()
        assert {move.batch_id for move in book.moves.values()} == set(book.batches)
        stored = len(book.batches)
        file.close()
        assert list(path.parent.iterdir()) == [path]
    assert stored >= kills
    assert verify(path) == []
