"""Whether there is a screen."""

import sys

import pytest

from ripenroom.cli.command import COMMANDS, why_no_window

NAMES = ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")


@pytest.fixture(autouse=True)
def bare_linux(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in NAMES:
        monkeypatch.delenv(name, raising=False)


def test_without_a_screen_it_says_what_can_be_done(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DISPLAY", "")
    reason = why_no_window()
    assert reason is not None
    named = reason.replace(",", " ").split()
    assert [command for command in COMMANDS if command not in named] == []


@pytest.mark.parametrize("name", NAMES)
def test_any_sign_of_a_screen_will_do(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(name, ":0")
    assert why_no_window() is None


def test_other_systems_always_have_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert why_no_window() is None
