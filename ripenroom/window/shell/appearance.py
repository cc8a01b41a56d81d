"""Look and text size: chosen by the user, kept in the settings, following the system if asked."""

from PySide6.QtCore import QObject, QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.window.theme import Look, dress

TEXT_PERCENTS = (100, 115, 130, 150, 200)


class Appearance(QObject):
    """Dresses the application, at once and whenever a choice or the system changes."""

    def __init__(self, app: QApplication, settings: QSettings) -> None:
        super().__init__(app)
        self._app = app
        self._settings = settings
        app.styleHints().colorSchemeChanged.connect(self.apply)
        self.apply()

    @property
    def look(self) -> Look:
        """Which palette was asked for."""
        kept = str(self._settings.value("look", Look.SYSTEM.value))
        return Look(kept) if kept in set(Look) else Look.SYSTEM

    @property
    def text_percent(self) -> int:
        """Text size in per cent of the platform's."""
        kept = str(self._settings.value("text_percent", 100))
        return int(kept) if kept in {str(percent) for percent in TEXT_PERCENTS} else 100

    def set_look(self, look: Look) -> None:
        """Change and keep the palette."""
        self._settings.setValue("look", look.value)
        self.apply()

    def set_text_percent(self, percent: int) -> None:
        """Change and keep the text size."""
        self._settings.setValue("text_percent", percent)
        self.apply()

    def apply(self) -> None:
        """Dress the application anew."""
        dress(self._app, self.look, self.text_percent)
