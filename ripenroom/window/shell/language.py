"""Which language the window speaks: the system's, or the one that was chosen."""

from collections.abc import Sequence

from babel import Locale
from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QSettings, QTranslator

from ripenroom.texts import best_of, languages, use_language, use_locale

_KEY = "language"

AS_THE_SYSTEM = ""
"""Stands for no language of its own."""


def chosen_language(settings: QSettings, known: Sequence[str] | None = None) -> str:
    """The language that was chosen, by its code, if sentences can be in it; else none."""
    kept = str(settings.value(_KEY, AS_THE_SYSTEM))
    return kept if kept in (languages() if known is None else known) else AS_THE_SYSTEM


def choose_language(settings: QSettings, code: str) -> None:
    """Keep a choice: it counts from the next start on."""
    settings.setValue(_KEY, code)


def language_of_window(settings: QSettings, known: Sequence[str] | None = None) -> str:
    """The language of the window that is being started, by its code."""
    system = QLocale.system().uiLanguages(QLocale.TagSeparator.Underscore)
    return chosen_language(settings, known) or best_of(system, known)


def own_name(code: str) -> str:
    """What those who speak a language call it: ``"español"``."""
    name = Locale.parse(code).get_display_name(code) or code
    return name[:1].upper() + name[1:]


def speak(app: QCoreApplication, code: str) -> None:
    """Say all in a language: our own sentences, and those of Qt's own dialogs as far as it can."""
    use_language(code)
    use_locale(QLocale().name())
    own = QTranslator(app)
    if own.load(f"qtbase_{code}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)):
        app.installTranslator(own)
