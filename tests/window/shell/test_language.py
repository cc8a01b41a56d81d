"""Which language the window speaks, and the choice of it."""

import pytest
from PySide6.QtCore import QLocale, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell import language, menus
from ripenroom.window.shell.language import (
    AS_THE_SYSTEM,
    choose_language,
    chosen_language,
    language_of_window,
    own_name,
)
from ripenroom.window.shell.menus import Appearance

KNOWN = ("en", "es")


class SpanishSystem:
    """A system whose user reads Spanish."""

    @staticmethod
    def system() -> type["SpanishSystem"]:
        return SpanishSystem

    @staticmethod
    def uiLanguages(  # noqa: N802 - the name that Qt gives it
        separator: QLocale.TagSeparator,
    ) -> list[str]:
        assert separator is QLocale.TagSeparator.Underscore
        return ["es_Latn_MX", "es_MX", "es"]

    TagSeparator = QLocale.TagSeparator


def test_the_systems_counts_unless_one_was_chosen(
    settings: QSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(language, "QLocale", SpanishSystem)
    assert language_of_window(settings, KNOWN) == "es"
    choose_language(settings, "en")
    assert language_of_window(settings, KNOWN) == "en"
    choose_language(settings, AS_THE_SYSTEM)
    assert language_of_window(settings, KNOWN) == "es"
    assert language_of_window(settings, ("en",)) == "en"


def test_a_choice_without_a_catalogue_is_none(settings: QSettings) -> None:
    choose_language(settings, "gl")
    assert chosen_language(settings, KNOWN) == AS_THE_SYSTEM
    assert chosen_language(settings, ("en", "gl")) == "gl"


def test_a_language_is_called_as_its_speakers_do() -> None:
    # CLDR, main/es.xml and main/en.xml: localeDisplayNames, languages
    assert [own_name(code) for code in KNOWN] == ["English", "Español"]


def made(qapp: QApplication, settings: QSettings, qtbot: QtBot) -> MainWindow:
    window = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(window)
    return window


def test_with_one_language_there_is_no_choice(
    qapp: QApplication, settings: QSettings, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(menus, "languages", lambda: ("en",))
    assert made(qapp, settings, qtbot).menus.languages == {}


def test_a_choice_is_kept_for_the_next_start_and_says_so(
    qapp: QApplication, settings: QSettings, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (menus, language):
        monkeypatch.setattr(module, "languages", lambda: KNOWN)
    window = made(qapp, settings, qtbot)
    choices = window.menus.languages
    assert [(code, action.text()) for code, action in choices.items()] == [
        ("", "As the &system"),
        ("en", "English"),
        ("es", "Español"),
    ]
    assert choices[AS_THE_SYSTEM].isChecked()
    choices["es"].trigger()
    assert window.voice.text == "The language changes when ripenroom is started again."
    assert language_of_window(settings, KNOWN) == "es"
    assert made(qapp, settings, qtbot).menus.languages["es"].isChecked()
