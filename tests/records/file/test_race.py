"""Several processes after one season file: one writes at a time, and nothing is lost or doubled."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.file.connection import require_files_beside

PROCESSES, EACH = 3, 12

WRITER = """
import random, sys, time
from pathlib import Path
from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.orchard import Cultivar
path, who, each = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
chance = random.Random(who)
done = 0
while done < each:
    try:
        file = SeasonFile.open(path)
    except FileRefusal as refusal:
        if refusal.kind != "busy":
            raise
        continue
    if file.read_only_because is None:
        name = f"{who}-{done}"
        before = set(file.read().cultivars)
        file.write(f"Add {name}", [Cultivar(id=name, crop="pawpaw", name=name)])
        assert set(file.read().cultivars) == before | {name}
        print(name, flush=True)
        done += 1
    file.close()
    time.sleep(chance.uniform(0, 0.004))
"""


@pytest.mark.long
def test_processes_that_race_for_a_file_write_one_after_the_other(
    season_file: SeasonFile,
) -> None:
    season_file.close()
    path: Path = season_file.path
    racing = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), f"process{n}", str(EACH)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for n in range(PROCESSES)
    ]
    acknowledged: list[str] = []
    for process in racing:
        said, complaint = process.communicate(timeout=120)
        assert process.returncode == 0, complaint
        acknowledged += said.split()
    assert len(acknowledged) == PROCESSES * EACH
    assert verify(path) == []
    file = SeasonFile.open(path)
    assert file.read_only_because is None
    assert sorted(file.read().cultivars) == sorted(acknowledged)
    taken_back = 0
    while file.undo():
        taken_back += 1
    assert taken_back == len(acknowledged)
    file.close()
    assert [other.name for other in path.parent.iterdir()] == [path.name]


def test_a_journal_that_comes_and_goes_is_in_nobody_s_way(season_file: SeasonFile) -> None:
    path: Path = season_file.path
    journal = path.with_name(f"{path.name}-journal")
    ended = threading.Event()

    def come_and_go() -> None:
        while not ended.is_set():
            journal.touch()
            journal.unlink()

    other = threading.Thread(target=come_and_go)
    other.start()
    try:
        for _ in range(2_000):
            require_files_beside(path)
    finally:
        ended.set()
        other.join()
