"""``ripenroom export`` as a user calls it."""

import shutil
import stat
import sys
from pathlib import Path

import openpyxl
import pytest
from icalendar import Calendar

from ripenroom.cli import main
from ripenroom.exchange.season_json import read_json
from ripenroom.season.practice import demo_book
from tests.cli.conftest import Call


@pytest.fixture
def demo(written_practice: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(written_practice, tmp_path / "demo.ripenroom"))


def test_the_name_of_the_target_says_the_format(demo: Path, tmp_path: Path) -> None:
    for name in ("out.xlsx", "out.json", "out.ics", "tables"):
        assert main(["export", str(demo), str(tmp_path / name)]) == 0
    assert "picks" in openpyxl.load_workbook(tmp_path / "out.xlsx").sheetnames
    assert read_json(tmp_path / "out.json") == demo_book()
    assert Calendar.from_ical((tmp_path / "out.ics").read_bytes()).events
    assert (tmp_path / "tables" / "picks.csv").read_text("utf-8").startswith("batch,crop,")


def test_an_unknown_format_is_bad_use_and_a_missing_folder_is_said(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(demo), str(tmp_path / "out.doc")]) == 2
    assert ".xlsx" in capsys.readouterr().err
    assert main(["export", str(demo), str(tmp_path / "no" / "out.json")]) != 0
    assert "out.json" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")
def test_what_is_written_out_only_its_owner_may_read(tmp_path: Path) -> None:
    demo = tmp_path / "demo.ripenroom"
    assert main(["demo", str(demo)]) == 0
    for name in ("out.xlsx", "out.json", "out.ics", "tables"):
        assert main(["export", str(demo), str(tmp_path / name)]) == 0
    assert main(["windows", str(demo), "--csv", str(tmp_path / "windows.csv")]) == 0
    written = [path for path in tmp_path.rglob("*") if path != tmp_path]
    assert len(written) > 10
    assert [path for path in written if stat.S_IMODE(path.stat().st_mode) & 0o077] == []


@pytest.mark.parametrize("name", ["b.json", "B.JSON", "link.json", "hard.json", "sub/../b.json"])
def test_a_season_called_like_an_export_is_not_written_over(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    season = demo.rename(tmp_path / "b.json")
    (tmp_path / "sub").mkdir()
    (tmp_path / "link.json").symlink_to(season)
    (tmp_path / "hard.json").hardlink_to(season)
    before = season.read_bytes()
    assert main(["export", str(season), str(tmp_path / name)]) == 2
    assert "season file" in capsys.readouterr().err
    assert season.read_bytes() == before


@pytest.mark.parametrize(
    "command",
    [
        ["windows", "--csv"],
        ["plan", "--csv"],
        ["rooms", "--csv"],
        ["setpoints", "--csv"],
        ["checks", "--csv"],
        ["export"],
    ],
)
@pytest.mark.parametrize("end", ["", "-journal", ".lock", "-JOURNAL"])
def test_no_command_writes_over_what_a_season_is_made_of(
    demo: Path, tmp_path: Path, command: list[str], end: str
) -> None:
    season = demo.rename(tmp_path / "b")
    before = season.read_bytes()
    name, *option = command
    assert main([name, str(season), *option, str(tmp_path / f"b{end}")]) == 2
    assert season.read_bytes() == before
    assert list(tmp_path.iterdir()) == [season]


def test_into_a_folder_with_the_season_in_the_way_nothing_is_written(
    demo: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "tables"
    folder.mkdir()
    season = demo.rename(folder / "checks.csv")
    before = season.read_bytes()
    assert main(["export", str(season), str(folder)]) == 2
    assert season.read_bytes() == before
    assert list(folder.iterdir()) == [season]


def test_a_folder_to_write_into_that_is_none_is_refused_in_words(
    call: Call, season: Path, tmp_path: Path
) -> None:
    notes = tmp_path / "notes"
    notes.write_text("apples")
    targets = [notes, Path("/dev/null")] if sys.platform != "win32" else [notes]
    for target in targets:
        refused = call("export", season, target)
        assert refused.code == 2
        assert refused.said_in_one_line(f"{target} cannot be used: it is there already", "folder")
    assert notes.read_text() == "apples"
