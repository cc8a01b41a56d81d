"""Look and text size are kept."""

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.window.palette import DARK
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.theme import Look, ink


def test_choices_are_kept_and_applied(qapp: QApplication, settings: QSettings) -> None:
    appearance = Appearance(qapp, settings)
    appearance.set_look(Look.DARK)
    appearance.set_text_percent(130)
    assert ink(qapp) is DARK
    settings.sync()
    again = Appearance(qapp, QSettings(settings.fileName(), QSettings.Format.IniFormat))
    assert (again.look, again.text_percent) == (Look.DARK, 130)
    appearance.set_look(Look.LIGHT)
    appearance.set_text_percent(100)


def test_nonsense_in_the_settings_is_the_same_as_none(
    qapp: QApplication, settings: QSettings
) -> None:
    settings.setValue("look", "sepia")
    settings.setValue("text_percent", "huge")
    appearance = Appearance(qapp, settings)
    assert (appearance.look, appearance.text_percent) == (Look.SYSTEM, 100)
