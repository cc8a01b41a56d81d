"""What a visitor meets first: the top-level folder and README's two commands."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from ripenroom.bootstrap import system
from ripenroom.cli.command import COMMANDS

ROOT = Path(__file__).resolve().parent.parent
ALLOWED = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "constraints.txt",
    "pyproject.toml",
    "resources",
    "ripenroom",
    "tests",
}


def sections() -> dict[str, str]:
    """The text below each second-level heading of README, in order."""
    parts = re.split(r"^## (.+)\n", ROOT.joinpath("README.md").read_text("utf-8"), flags=re.M)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def commands(text: str) -> list[str]:
    """What stands in fenced blocks, one line each."""
    blocks = re.findall(r"^```\w*\n(.*?)^```$", text, flags=re.M | re.S)
    return [line for block in blocks for line in block.splitlines()]


@pytest.mark.skipif(not ROOT.joinpath(".git").exists(), reason="not a git checkout")
@pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")
def test_the_top_level_holds_nothing_new() -> None:
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED


def test_readme_starts_with_how_to_run_and_how_to_test() -> None:
    assert list(sections())[:2] == ["Run it", "Test it"]


@pytest.mark.parametrize("what", ["run", "test"])
def test_one_command_does_it(what: str) -> None:
    assert commands(sections()[f"{what.title()} it"]) == [f"python3 -m ripenroom.bootstrap {what}"]


def test_readme_tells_of_every_command() -> None:
    told = sections()["At the command line"]
    assert [name for name in COMMANDS if not re.search(rf"`ripenroom {name}[ `]", told)] == []


def test_readme_names_every_system_package() -> None:
    named = set(re.findall(r"`([\w.+-]+)`", sections()["Run it"]))
    assert set(system.packages()) <= named


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not here")
def test_ci_types_the_test_command_of_readme() -> None:
    script = ROOT.joinpath(".ci", "run").read_text("utf-8")
    (extraction,) = re.findall(r"^test_command=\$\((.*)\)$", script, flags=re.M)
    typed = subprocess.run(
        ["bash", "-c", extraction], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert typed.stdout.splitlines() == commands(sections()["Test it"])
