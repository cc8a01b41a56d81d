"""``ripenroom windows``."""

import csv
import re
from pathlib import Path

import pytest

from ripenroom.exchange.farm_tables import EAT_BY_COLUMNS
from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import OwnCrop
from ripenroom.season.practice import demo_book
from tests.cli.conftest import Call
from tests.records.crop.made import COLOURED, HELD, WINTER

BATCHES = len(demo_book().batches)


def test_it_prints_a_row_for_every_batch(call: Call, season: Path) -> None:
    before = season.read_bytes()
    answer = call("windows", season)
    assert (answer.code, answer.err) == (0, "")
    head, *rows = answer.out.splitlines()
    what = ["crop", "feel", "count", "batch", "place", "opens", "best", "closes", "why"]
    assert head.split() == what
    assert max(map(len, answer.out.splitlines())) < 140
    first = next(row for row in rows if " P-0926-1 " in row)
    assert re.search(
        r" \w{3} \d+ \w{3} \(\d+.*\) +\w{3} \d+ \w{3} +\w{3} \d+ \w{3} \(\d+.*\) ", first
    )
    assert not re.search(r"\d{4}-\d\d-\d\d", answer.out)
    assert len(rows) == BATCHES
    assert season.read_bytes() == before
    assert [p.name for p in season.parent.iterdir()] == [season.name]


def test_it_reads_a_season_that_is_open_for_changes(call: Call, season: Path) -> None:
    file = SeasonFile.open(season)
    assert call("windows", season).code == 0
    file.close()


def test_a_csv_file_is_written_instead(call: Call, season: Path, tmp_path: Path) -> None:
    path = tmp_path / "windows.csv"
    path.write_text("an older table")
    answer = call("windows", season, "--csv", path)
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == f"{BATCHES} batches saved in {path}\n"
    with path.open(newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert len(rows) == BATCHES
    assert tuple(rows[0]) == EAT_BY_COLUMNS


def test_as_on_a_date(call: Call, season: Path) -> None:
    rows = {
        at: len(call("windows", season, "--at", at).out.splitlines()) - 1
        for at in ("2026-09-01", "2026-09-01T08:00", "2026-09-01T07:30+00:00", "2026-09-20")
    }
    assert 0 < rows["2026-09-01"] < rows["2026-09-20"] < BATCHES
    # The pick of 1 September was at 11:00: a day alone is read as its noon.
    assert rows["2026-09-01"] - rows["2026-09-01T08:00"] == 1
    assert rows["2026-09-01T08:00"] == rows["2026-09-01T07:30+00:00"]


def test_before_the_first_pick(call: Call, season: Path) -> None:
    answer = call("windows", season, "--at", "2026-08-01")
    assert (answer.code, answer.out, answer.err) == (0, "No batches yet.\n", "")


def test_years_later(call: Call, season: Path) -> None:
    assert len(call("windows", season, "--at", "2100-01-01").out.splitlines()) == 1 + BATCHES


@pytest.mark.parametrize(
    "typed",
    ["tomorrow", "14.9.2026", "2026-13-01", "2026-02-30", "", " ", "2026-09-14T25:00", "12:30"],
)
def test_what_is_no_date(call: Call, season: Path, typed: str) -> None:
    answer = call("windows", season, "--at", typed)
    assert answer.code == 2
    assert answer.said_in_one_line("--at:", "2026-09-14T08:30")


@pytest.mark.parametrize("typed", ["0001-01-01", "9999-12-31", "0206-09-14T08:00+02:00"])
def test_a_date_out_of_reach(call: Call, season: Path, typed: str) -> None:
    answer = call("windows", season, "--at", typed)
    assert answer.code == 2
    assert answer.said_in_one_line("--at:", typed, "1970 to 2200")


def test_a_csv_file_that_cannot_be_written(call: Call, season: Path, tmp_path: Path) -> None:
    for path in (tmp_path / "no folder" / "w.csv", tmp_path, season / "w.csv"):
        answer = call("windows", season, "--csv", path)
        assert answer.code == 2
        assert answer.said_in_one_line(str(path), "cannot be written")


def test_a_season_is_never_written_over_by_a_table(
    call: Call, season: Path, tmp_path: Path
) -> None:
    before = season.read_bytes()
    link = tmp_path / "linked.csv"
    link.symlink_to(season)
    for path in (season, link, tmp_path / "other.ripenroom"):
        answer = call("windows", season, "--csv", path)
        assert answer.code == 2
        assert answer.said_in_one_line("choose another name")
    assert season.read_bytes() == before
    assert not (tmp_path / "other.ripenroom").exists()


def with_crops(path: Path, **texts: str) -> None:
    """Put own crops into a season file, sound or not."""
    file = SeasonFile.open(path)
    file.write("crops", [OwnCrop(id=key, key=key, text=text) for key, text in texts.items()])
    file.close()


def test_crops_of_every_sort_are_in_the_table(call: Call, season: Path, tmp_path: Path) -> None:
    with_crops(season, winter=WINTER, lantern=COLOURED, keeper=HELD)
    for crop, feel, at in (
        ("Winter pear", ["--count", "20"], "winter"),
        ("LANTERN FRUIT", ["--feel", "4 9 0 0"], "lantern"),
        ("keeper", ["--weight-kg", "6"], "keeper"),
    ):
        answer = call("add-pick", season, "--crop", crop, "--place", "Cold room", *feel)
        assert (answer.code, answer.err) == (0, ""), at
    path = tmp_path / "windows.csv"
    assert call("windows", season, "--csv", path).code == 0
    with path.open(newline="") as lines:
        rows = {row["batch"]: row for row in csv.DictReader(lines)}
    assert len(rows) == BATCHES + 4
    assert {rows[code]["crop"] for code in ("U-1001-1", "U-1001-2")} == {"lantern"}
    assert rows["Z-1001-1"]["opens"] > "2026-10-0"
    # In a cold room for good it ripens only once its cold is done.
    assert rows["X-1001-1"]["opens"] > "2026-10-2"


def test_a_broken_crop_is_told_beside_the_table(call: Call, season: Path) -> None:
    with_crops(season, pawpaw="name = 'P'\n")
    answer = call("windows", season)
    assert answer.code == 0
    assert answer.err == "ripenroom: The season’s own crop “pawpaw”: sources: missing.\n"
    rows = answer.out.splitlines()[1:]
    assert len(rows) == BATCHES
    assert all("no crop profile" in row for row in rows if " pawpaw " in row)


def test_verify_and_import_tell_of_a_broken_crop_too(
    call: Call, few_season: Path, tmp_path: Path
) -> None:
    with_crops(few_season, winter=WINTER.replace("value = 14,", "value = nan,"))
    told = "ripenroom: The season’s own crop “winter”: firmness.ready.value: needs to be a finite"
    answer = call("verify", few_season)
    assert (answer.code, answer.out) == (3, "")
    assert answer.err.startswith(told)
    assert call("windows", few_season).code == 0  # it opens on purpose
    assert call("export", few_season, tmp_path / "season.json").code == 0
    answer = call("import", tmp_path / "new.ripenroom", tmp_path / "season.json")
    assert answer.code == 0
    assert answer.err.startswith(told)
