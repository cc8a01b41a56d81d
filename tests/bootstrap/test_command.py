"""The set-up's command line, up to what needs packages."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from ripenroom.bootstrap import __main__ as entry
from ripenroom.bootstrap import bundle, command, environment, system
from ripenroom.bootstrap.environment import ROOT


@pytest.mark.parametrize(
    ("platform", "variables", "expected"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ""}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("linux", {"QT_QPA_PLATFORM": "offscreen"}, True),
        ("darwin", {}, True),
        ("win32", {}, True),
    ],
)
def test_where_a_window_can_open(platform: str, variables: dict[str, str], expected: bool) -> None:
    assert command.has_screen(platform, variables) is expected


def test_packages_are_printed_on_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert command.main(["packages"]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert line.split() == system.packages()


@pytest.mark.parametrize("arguments", [[], ["walk"], ["run", "season.ripenroom"]])
def test_bad_use_ends_with_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        command.main(arguments)
    assert stopped.value.code == 2
    assert "usage: python3 -m ripenroom.bootstrap" in capsys.readouterr().err


@pytest.mark.parametrize("more", [[], ["--long"], ["tests/science", "-k", "gate"]])
def test_tests_run_on_every_core_whatever_is_added(
    more: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    called: list[tuple[list[str], dict[str, str]]] = []
    monkeypatch.setattr(system, "provide", lambda screen: None)
    monkeypatch.setattr(environment, "prepare", lambda part: None)
    monkeypatch.setattr(subprocess, "call", lambda line, cwd, env: called.append((line, env)))
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("RIPENROOM_RANDOM", "3")
    command.main(["test", *more])
    (((_, *line), variables),) = called
    assert line[:4] == ["-m", "pytest", "-n", "auto"]
    assert line[len(line) - len(more) :] == more
    # Tests are compiled once, whatever Python was told; all else that was said goes on.
    assert "PYTHONDONTWRITEBYTECODE" not in variables
    assert variables["RIPENROOM_RANDOM"] == "3"


def test_a_bundle_is_told_with_its_size(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, archive = tmp_path / "ripenroom", tmp_path / "ripenroom.tar.gz"
    folder.joinpath("inner").mkdir(parents=True)
    folder.joinpath("inner", "half").write_bytes(bytes(1_500_000))
    folder.joinpath("program").write_bytes(bytes(1_500_000))
    archive.write_bytes(bytes(1_000_000))
    monkeypatch.setattr(system, "provide", lambda screen: None)
    monkeypatch.setattr(bundle, "make", lambda: (folder, archive))
    assert command.main(["bundle"]) == 0
    assert capsys.readouterr().out == f"{folder}: 3 MB\n{archive}: 1 MB\n"


@pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="only Linux's packager asks for it"
)
def test_what_the_packager_lacks_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(system, "provide", lambda screen: None)
    monkeypatch.setenv("PATH", "")
    assert command.main(["bundle"]) == 1
    assert "sudo apt install binutils" in capsys.readouterr().err


def test_the_module_runs_as_readme_says() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "ripenroom.bootstrap", "packages"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "libegl1" in done.stdout


def test_an_old_python_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 13, "final", 0))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or later; this is Python 3\.10\.13"):
        entry.main()


@pytest.mark.parametrize("path", ["__init__.py", "bootstrap/__init__.py", "bootstrap/__main__.py"])
def test_an_old_python_gets_as_far_as_the_refusal(path: str) -> None:
    source = Path(ROOT, "ripenroom", path).read_text("utf-8")
    ast.parse(source, feature_version=(3, 6))
