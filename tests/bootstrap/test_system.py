"""Finding Qt's system libraries, and what is said or done when some are missing."""

import os
import sys
from pathlib import Path

import pytest

from ripenroom.bootstrap import system
from ripenroom.bootstrap.environment import SetUpError

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="other systems bring their own libraries"
)


@pytest.fixture
def lacking(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine on which Qt needs one more library, which no machine has."""
    needed = {**system.FOR_QT, "libno-such-thing.so.7": "libno-such-thing7"}
    monkeypatch.setattr(system, "FOR_QT", needed)


@pytest.fixture
def apt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An ``apt-get`` that only writes down what it is asked, and fails at ``APT_FAILS_AT``."""
    script = tmp_path / "apt-get"
    asked = tmp_path / "asked"
    script.write_text(f'#!/bin/sh\necho "$*" >> {asked}\n[ "$2" != "$APT_FAILS_AT" ]\n', "utf-8")
    script.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    return asked


def as_user(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: number)


def test_what_these_tests_themselves_need_is_there() -> None:
    assert not set(system.missing(screen=False)) & set(system.FOR_QT.values())


@pytest.mark.usefixtures("lacking")
def test_a_missing_library_is_named_by_its_package() -> None:
    assert "libno-such-thing7" in system.missing(screen=False)


def test_libraries_of_the_screen_count_only_with_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "FOR_SCREEN", {"libno-such-screen.so.1": "libno-such-screen1"})
    assert "libno-such-screen1" in system.missing(screen=True)
    assert "libno-such-screen1" not in system.missing(screen=False)


def test_fonts_are_asked_for_where_there_are_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(system, "FONT_FOLDERS", (tmp_path, tmp_path / "absent"))
    assert system.FONTS in system.missing(screen=False)
    (tmp_path / "dejavu").mkdir()
    (tmp_path / "dejavu" / "DejaVuSans.ttf").touch()
    assert system.FONTS not in system.missing(screen=False)


@pytest.mark.usefixtures("lacking")
def test_another_user_than_root_is_given_the_line_to_type(
    apt: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_user(monkeypatch, 1000)
    with pytest.raises(SetUpError) as refused:
        system.provide(screen=False)
    line = str(refused.value).splitlines()[-1]
    assert line.startswith("sudo apt install --no-install-recommends ")
    assert line.endswith("libno-such-thing7")
    assert not apt.exists()


@pytest.mark.usefixtures("lacking")
def test_a_system_without_apt_is_told_the_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(SetUpError, match="libno-such-thing7"):
        system.provide(screen=False)


@pytest.mark.usefixtures("lacking")
def test_root_installs_and_is_told_if_that_did_not_help(
    apt: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_user(monkeypatch, 0)
    with pytest.raises(SetUpError, match="still lacks"):
        system.provide(screen=False)
    update, install = apt.read_text("utf-8").splitlines()
    assert update == "-qq update"
    assert install.startswith("-qq install --yes --no-install-recommends ")
    assert install.endswith("libno-such-thing7")


@pytest.mark.usefixtures("lacking")
@pytest.mark.parametrize("step", ["update", "install"])
def test_a_failing_apt_is_reported(apt: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    as_user(monkeypatch, 0)
    monkeypatch.setenv("APT_FAILS_AT", step)
    with pytest.raises(SetUpError, match=f"apt-get {step} failed"):
        system.provide(screen=False)


def test_nothing_is_installed_where_nothing_is_missing(
    apt: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_user(monkeypatch, 0)
    monkeypatch.setattr(system, "FOR_QT", {})
    (apt.parent / "font.ttf").touch()
    monkeypatch.setattr(system, "FONT_FOLDERS", (apt.parent,))
    system.provide(screen=False)
    assert not apt.exists()
