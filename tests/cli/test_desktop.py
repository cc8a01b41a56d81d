"""The menu entry, the icon and the file type that a double click on a season goes by."""

import re
import shutil
import subprocess
import sys
import sysconfig
from configparser import RawConfigParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ripenroom.cli import desktop
from ripenroom.paths import resource
from ripenroom.private_file import SEASON_SUFFIX
from tests.cli.conftest import Call

ENTRY = Path("applications", "ripenroom.desktop")
ICON = Path("icons", "hicolor", "scalable", "apps", "ripenroom.svg")
TYPE = Path("mime", "packages", "ripenroom.xml")
MIME = "{http://www.freedesktop.org/standards/shared-mime-info}"


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A Linux user's data folder, with nothing in it yet."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data"


def entry(text: str) -> dict[str, str]:
    """The keys of a desktop entry, as they stand."""
    parser = RawConfigParser(interpolation=None, delimiters="=")
    parser.optionxform = str  # type: ignore[assignment, method-assign] # keys have capitals
    parser.read_string(text)
    return dict(parser["Desktop Entry"])


def as_a_menu_starts_it(exec_key: str) -> list[str]:
    """The arguments of an Exec key: first backslashes as in any string, then the quoting."""
    unescaped = exec_key.replace("\\\\", "\\")
    parts = re.findall(r'"((?:[^"\\]|\\.)*)"|(\S+)', unescaped)
    return [re.sub(r"\\(.)", r"\1", "".join(part)).replace("%%", "%") for part in parts]


def test_entry_icon_and_type_go_where_desktops_look(call: Call, data: Path) -> None:
    answer = call("desktop")
    assert answer.code == 0
    assert "double click" in answer.out
    for place in (ENTRY, ICON, TYPE):
        assert data.joinpath(place).is_file(), place


def test_the_entry_starts_this_very_installation(call: Call, data: Path) -> None:
    call("desktop")
    keys = entry(data.joinpath(ENTRY).read_text("utf-8"))
    *command, file = as_a_menu_starts_it(keys["Exec"])
    assert file == "%f"
    assert keys["TryExec"] == command[0]
    done = subprocess.run([*command, "--help"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("usage: ripenroom")


@pytest.mark.parametrize(
    "program", ["/opt/two words/ripenroom", '/a"b/r', "/a$b`c/r", "/back\\slash/r", "/50%/r"]
)
def test_any_path_survives_the_quoting(program: str) -> None:
    keys = entry(desktop.desktop_entry("[Desktop Entry]\nTryExec=x\nExec=x %f", [program, "-m"]))
    assert as_a_menu_starts_it(keys["Exec"]) == [program, "-m", "%f"]
    assert keys["TryExec"].replace("\\\\", "\\") == program


def test_an_installation_without_a_command_is_started_by_its_python(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sysconfig, "get_path", lambda _: str(tmp_path))
    assert desktop.command() == [sys.executable, "-m", "ripenroom"]


def test_a_bundle_is_started_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    monkeypatch.setattr(sys, "executable", "/opt/ripenroom/ripenroom")
    assert desktop.command() == ["/opt/ripenroom/ripenroom"]


def test_entry_and_type_name_each_other_and_the_ending(data: Path) -> None:
    (kind,) = ElementTree.parse(resource("desktop", "ripenroom.xml")).iter(f"{MIME}mime-type")
    keys = entry(resource("desktop", "ripenroom.desktop").read_text("utf-8"))
    assert keys["MimeType"] == kind.attrib["type"] + ";"
    assert [glob.attrib["pattern"] for glob in kind.iter(f"{MIME}glob")] == [f"*{SEASON_SUFFIX}"]
    assert [icon.attrib["name"] for icon in kind.iter(f"{MIME}icon")] == [keys["Icon"]]


def test_the_type_knows_a_season_by_its_bytes(season: Path) -> None:
    matches = ElementTree.parse(resource("desktop", "ripenroom.xml")).iter(f"{MIME}match")
    content = season.read_bytes()
    for match in matches:
        value = match.attrib["value"].replace("\\0", "\0").encode()
        assert content.startswith(value, int(match.attrib["offset"]))


def test_what_was_put_in_is_taken_out_and_nothing_else(call: Call, data: Path) -> None:
    other = data / "applications" / "editor.desktop"
    other.parent.mkdir(parents=True)
    other.write_text("[Desktop Entry]\n")
    call("desktop")
    assert call("desktop", "--remove").code == 0
    assert not any(data.joinpath(place).exists() for place in (ENTRY, ICON, TYPE))
    assert other.exists()
    assert call("desktop", "--remove").code == 0  # it is out already


def test_without_the_programs_that_index_it_names_their_packages(
    call: Call, data: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    answer = call("desktop")
    assert answer.code == 0
    assert "desktop-file-utils" in answer.err
    assert "shared-mime-info" in answer.err


@pytest.mark.parametrize("platform", ["win32", "darwin"])
def test_other_systems_are_told_what_to_do(
    call: Call, data: Path, monkeypatch: pytest.MonkeyPatch, platform: str
) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    answer = call("desktop")
    assert answer.code == 2
    assert answer.said_in_one_line("Open with", "Terminal")
    assert not data.exists()


@pytest.mark.skipif(shutil.which("desktop-file-validate") is None, reason="not installed here")
def test_the_entry_is_one_by_its_own_tool(call: Call, data: Path) -> None:
    call("desktop")
    done = subprocess.run(
        ["desktop-file-validate", data / ENTRY], capture_output=True, text=True, check=False
    )
    assert done.stdout == ""
    assert done.returncode == 0


@pytest.mark.skipif(shutil.which("gio") is None, reason="not installed here")
@pytest.mark.skipif(shutil.which("update-mime-database") is None, reason="not installed here")
@pytest.mark.skipif(shutil.which("update-desktop-database") is None, reason="not installed here")
@pytest.mark.parametrize("name", ["farm.ripenroom", "sent without an ending"])
def test_a_desktop_opens_seasons_with_it(call: Call, data: Path, season: Path, name: str) -> None:
    call("desktop")
    file = season.rename(season.with_name(name))
    told = _gio("info", "--attributes", "standard::content-type", str(file))
    assert "standard::content-type: application/x-ripenroom-season" in told
    assert "ripenroom.desktop" in _gio("mime", "application/x-ripenroom-season").splitlines()[0]


def _gio(*arguments: str) -> str:
    return subprocess.run(["gio", *arguments], capture_output=True, text=True, check=True).stdout
