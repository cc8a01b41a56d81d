"""``ripenroom add-pick``."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.file import SeasonFile, verify
from tests.cli.conftest import Answer, Call
from tests.cli.test_windows import with_crops
from tests.records.crop.made import COLOURED, HELD
from tests.records.full_seasons import limited

PICK = ("--crop", "pawpaw", "--place", "Cold room")


def book_in(path: Path) -> dict[str, object]:
    file = SeasonFile.open(path, read_only=True)
    book = file.read()
    file.close()
    return {batch.code: batch for batch in book.batches.values()}


def test_a_pick_is_written_and_the_windows_show_it(call: Call, season: Path) -> None:
    answer = call("add-pick", season, *PICK, "--feel", "3 9 6 2", "--row", "wall ROW")
    assert (answer.code, answer.err) == (0, "")
    codes = answer.out.split()
    assert codes == ["P-1001-1", "P-1001-2", "P-1001-3", "P-1001-4"]
    lines = call("windows", season).out.splitlines()
    rows = {code: line for line in lines for code in codes if code in line.split()}
    assert [" 3 " in rows[codes[0]], " 9 " in rows[codes[1]]] == [True, True]
    assert "Cold room" in rows[codes[3]]


def test_all_that_can_be_said_of_a_pick(call: Call, season: Path) -> None:
    answer = call(
        *("add-pick", season, "--crop", "Pear", "--place", " cellar SHELF ", "--count", 40),
        *("--at", "2026-09-30T18:30", "--cultivar", "Butter pears", "--row", "Pear avenue"),
        *("--readings", 12.5, 13, "--unit", "lbf", "--probe-mm", 8, "--pulp-c", 17.5),
        *("--weight-kg", 7.25, "--note", "from the top", "--together"),
    )
    assert answer.out == "E-0930-1\n"
    batch = book_in(season)["E-0930-1"]
    assert batch.crop == "pear"  # type: ignore[attr-defined]
    assert batch.picked_at.isoformat() == "2026-09-30T17:30:00+00:00"  # type: ignore[attr-defined]
    assert batch.readings == (12.5, 13.0)  # type: ignore[attr-defined]
    assert (batch.pulp_c, batch.weight_kg, batch.note) == (17.5, 7.25, "from the top")  # type: ignore[attr-defined]


@pytest.mark.parametrize("crop", ["pera", "pear"])
def test_a_crop_is_named_in_either_language(
    call: Call, season: Path, monkeypatch: pytest.MonkeyPatch, in_spanish: None, crop: str
) -> None:
    monkeypatch.setenv("LC_ALL", "es_ES.UTF-8")
    answer = call("add-pick", season, "--crop", crop, "--place", "Cold room", "--count", 4)
    assert answer.out == "E-1001-1\n"


def test_feels_together_are_one_batch(call: Call, season: Path) -> None:
    assert call("add-pick", season, *PICK, "--feel", "3,9,6,2", "--together").out == "P-1001-1\n"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--feel", "a b c"], ["--feel:", "a b c"]),
        (["--feel", "1 2 3"], ["--feel:", "not 3:"]),
        (["--feel", "1 2 3 4 5 6"], ["--feel:", "not 6:"]),
        (["--feel", "3 -9 6 2"], ["--feel:"]),
        (["--feel", "-3 9 6 2"], ["--feel:"]),
        (["--feel", "3 9 6 2", "--count", "5"], ["--feel:", "add up to 20"]),
        (["--feel", "0 0 0 0"], ["--count:", "How much was picked?"]),
        ([], ["--count:", "How much was picked?"]),
        (["--count", "-3"], ["--count:", "-3 fruit"]),
        (["--count", "1000000"], ["--count:"]),
        (["--weight-kg", "nan"], ["--weight-kg:"]),
        (["--count", "5", "--at", "2026-10-02"], ["--at:", "still to come"]),
        (["--count", "5", "--at", "2026-08-01"], ["--at:", "first day, 24 Aug 2026"]),
        (["--count", "5", "--at", "yesterday"], ["--at:", "yesterday"]),
        (["--count", "5", "--crop", "medlar"], ["--crop:", "medlar", "pawpaw"]),
        (["--count", "5", "--place", "attic"], ["--place:", "attic", "Cellar shelf"]),
        (["--count", "5", "--row", "Row 99"], ["--row:", "Row 99", "East row 1"]),
        (["--count", "5", "--cultivar", "Butter pears"], ["--cultivar:", "Middle pawpaws"]),
        (["--count", "5", "--readings", "30"], ["--unit:"]),
        (["--count", "5", "--pulp-c", "400"], ["--pulp-c:"]),
        (["--count", "5", "--readings", "0", "--unit", "N"], ["--readings:", "above 0"]),
        (["--count", "5", "--note", "x" * 10_001], ["--note:"]),
    ],
)
def test_what_cannot_be_is_told_by_its_option_and_nothing_is_written(
    call: Call, season: Path, more: list[str], words: list[str]
) -> None:
    before = season.read_bytes()
    for yes in ([], ["--yes"]):
        answer = call("add-pick", season, *PICK, *more, *yes)
        assert answer.code == 2
        assert answer.said_in_one_line(*words)
        assert "--yes" not in answer.err
    assert season.read_bytes() == before


def asked(call: Call, season: Path, *more: str) -> Answer:
    before = season.read_bytes()
    answer = call("add-pick", season, *PICK, "--count", "9", *more)
    assert answer.code == 2
    assert answer.said_in_one_line("Repeat with")
    assert season.read_bytes() == before
    return answer


def test_a_question_says_how_to_answer_it(call: Call, season: Path) -> None:
    answer = asked(call, season, "--readings", "40", "--unit", "kgf")
    assert answer.err.endswith("Repeat with --unit N if that was meant.\n")
    soft = ("--readings", "1.2", "1.3", "--unit", "N")
    answer = asked(call, season, *soft)
    assert "with --unit kgf if that was meant, or with --yes to keep it as typed." in answer.err
    answer = asked(call, season, "--readings", "30", "--unit", "N", "--probe-mm", "11")
    assert answer.err.endswith("Repeat with --yes to keep it as typed.\n")
    answer = asked(call, season, "--pulp-c", "68")
    assert answer.err.endswith("Repeat with --pulp-c 20.0 if that was meant.\n")
    assert call("add-pick", season, *PICK, "--count", "9", *soft, "--yes").code == 0


def test_a_season_that_is_open_elsewhere_is_left_alone(call: Call, season: Path) -> None:
    holder = SeasonFile.open(season)
    answer = call("add-pick", season, *PICK, "--count", "9", "--wait", "0.2")
    assert answer.code == 2
    assert answer.said_in_one_line("open for changes in another")
    holder.close()
    assert call("add-pick", season, *PICK, "--count", "9").code == 0


@pytest.mark.parametrize(
    ("crop", "more", "words"),
    [
        ("lantern", ["--readings", "9", "--unit", "N", "--count", "3"], ["--readings:", "color"]),
        ("lantern", ["--feel", "4 9 0 0", "--count", "3"], ["--feel:", "colors add up to 13"]),
        ("keeper", ["--feel", "4 9 0 0"], ["--feel:", "softens is not known, only its dates"]),
        ("keeper", ["--readings", "9", "--unit", "N", "--count", "3"], ["--readings:", "dates"]),
    ],
)
def test_what_does_not_tell_a_crop_is_refused(
    call: Call, season: Path, crop: str, more: list[str], words: list[str]
) -> None:
    with_crops(season, lantern=COLOURED, keeper=HELD)
    before = season.read_bytes()
    answer = call("add-pick", season, "--crop", crop, "--place", "Cold room", *more, "--yes")
    assert answer.code == 2
    assert answer.said_in_one_line(*words)
    assert season.read_bytes() == before


def test_a_pick_is_refused_where_the_season_is_full(
    call: Call, season: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    most = len(book_in(season)) + 1
    limited(monkeypatch, Batch, most)
    assert call("add-pick", season, *PICK, "--count", 5).code == 0
    before = season.read_bytes()
    answer = call("add-pick", season, *PICK, "--count", 5)
    assert answer.code == 2
    words = f"The season has too many batches: {most + 1}; at most {most}"
    assert answer.said_in_one_line(words, "Delete what you no longer need")
    assert season.read_bytes() == before


@pytest.mark.parametrize("left", ["closed", "killed", "open"])
def test_a_season_with_a_write_ahead_log_gets_its_pick(
    call: Call, season: Path, tmp_path: Path, left: str
) -> None:
    """Another program chose the log: it has closed the season, died over it, or has it open, until
    which the pick is refused in words."""
    path = tmp_path / "logged.ripenroom"
    with closing(sqlite3.connect(season, isolation_level=None)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("PRAGMA wal_autocheckpoint = 0")
        other.execute("UPDATE season SET changed_at = changed_at")
        if left == "killed":
            for suffix in ("", "-wal"):
                shutil.copy(f"{season}{suffix}", f"{path}{suffix}")
        if left == "open":
            before = book_in(season)
            answer = call("add-pick", season, *PICK, "--count", 12)
            assert (answer.code, answer.out) == (2, "")
            assert "being read or written by another program" in answer.err
            assert book_in(season).keys() == before.keys()
    if left != "killed":
        path = season
    before = book_in(path)
    answer = call("add-pick", path, *PICK, "--count", 12)
    assert (answer.code, answer.err) == (0, "")
    assert book_in(path).keys() == {*before, answer.out.strip()}
    assert verify(path) == []
    assert list(path.parent.glob(f"{path.name}*")) == [path]
