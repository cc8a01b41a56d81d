"""The menus: every action of the window that belongs to no single page."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Protocol, TypeVar

from PySide6.QtCore import QObject, QSettings
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QApplication, QMenu, QMenuBar

from ripenroom.records.season import UnitSystem
from ripenroom.texts import languages, tr
from ripenroom.window.session import Session
from ripenroom.window.shell.file_actions import FileActions
from ripenroom.window.shell.language import AS_THE_SYSTEM, chosen_language, own_name
from ripenroom.window.shell.navigation import Recent
from ripenroom.window.theme import Look, dress
from ripenroom.wording.formats import in_percent

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


_Value = TypeVar("_Value", bound=str | int)


class Commands(Protocol):
    """What the menus ask of the window."""

    session: Session | None
    settings: QSettings
    appearance: Appearance
    recent: Recent
    files: FileActions

    def new_season(self) -> None: ...
    def choose_season(self) -> None: ...
    def open_practice(self) -> bool: ...
    def open_path(self, path: Path, /) -> bool: ...
    def edit_season(self) -> None: ...
    def edit_orchard(self) -> None: ...
    def save_copy(self) -> None: ...
    def close(self) -> bool: ...
    def undo(self) -> None: ...
    def redo(self) -> None: ...
    def set_units(self, units: UnitSystem, /) -> None: ...
    def set_language(self, code: str, /) -> None: ...
    def show_help(self, topic: str = "", /) -> None: ...


class Menus(QObject):
    """Fills the menu bar ``bar`` and keeps its texts and ticks up to date."""

    def __init__(self, bar: QMenuBar, window: Commands) -> None:
        super().__init__(bar)
        self._bar = bar
        self._window = window
        self._of_season: list[QAction] = []
        self._build_file()
        self._build_edit()
        self._build_plan()
        self._build_view()
        self._build_help()

    # One menu after the other

    def _build_file(self) -> None:
        window = self._window
        menu = self._bar.addMenu(tr("&File"))
        standard = QKeySequence.StandardKey
        self._add(menu, tr("&New season…"), window.new_season, standard.New)
        self._add(menu, tr("&Open…"), window.choose_season, standard.Open)
        self.recent = menu.addMenu(tr("Open &recent"))
        self.recent.aboutToShow.connect(self._fill_recent)
        self._add(menu, tr("Open &practice season"), window.open_practice)
        menu.addSeparator()
        self._add_for_season(menu, tr("&Season details…"), window.edit_season)
        self._add_for_season(menu, tr("Rows and c&ultivars…"), window.edit_orchard)
        self._add_for_season(
            menu, tr("Save a cop&y as…"), window.save_copy, QKeySequence("Ctrl+Shift+S")
        )
        files = window.files
        self._add_for_season(menu, tr("&Earlier copies…"), files.earlier_copies)
        self._add_for_season(menu, tr("Bring in &changes from another copy…"), files.merge)
        menu.addSeparator()
        self._add_for_season(
            menu, tr("Import a &table…"), files.bring_in_table, QKeySequence("Ctrl+T")
        )
        self._add_for_season(
            menu, tr("P&aste a table"), files.paste_table, QKeySequence("Ctrl+Shift+V")
        )
        out = menu.addMenu(tr("E&xport everything to"))
        self._add_for_season(out, tr("A &spreadsheet…"), files.export_workbook)
        self._add_for_season(out, tr("A &JSON file…"), files.export_json)
        self._add_for_season(out, tr("A &calendar…"), files.export_calendar)
        self._add_for_season(menu, tr("Save w&hat this season learned…"), files.save_lessons)
        self._add_for_season(
            menu,
            tr("Start from what another season &learned…"),
            files.begin_from_lessons,
        )
        menu.addSeparator()
        self._add(menu, tr("&Quit"), window.close, QKeySequence("Ctrl+Q"))

    def _build_edit(self) -> None:
        menu = self._bar.addMenu(tr("&Edit"))
        self.undo = self._add(menu, "", self._window.undo, QKeySequence("Ctrl+Z"))
        self.redo = self._add(menu, "", self._window.redo, QKeySequence("Ctrl+Shift+Z"))

    def _build_plan(self) -> None:
        menu = self._bar.addMenu(tr("&Plan"))
        self.plan_again = self._add(
            menu, tr("Plan &again"), lambda: self._plan(again=True), QKeySequence("F5")
        )
        self.stop_planning = self._add(
            menu, tr("&Stop planning"), lambda: self._plan(again=False),
            QKeySequence("Shift+F5"),
        )  # fmt: skip
        self._planning: Session | None = None

    def _plan(self, *, again: bool) -> None:
        session = self._window.session
        if session is not None and again:
            session.plans.again()
        elif session is not None:
            session.plans.cancel()

    def _show_planning(self) -> None:
        session = self._window.session
        self.plan_again.setEnabled(session is not None)
        self.stop_planning.setEnabled(session is not None and session.plans.working)

    def _build_view(self) -> None:
        window = self._window
        menu = self._bar.addMenu(tr("&View"))
        look_names = {
            Look.SYSTEM: tr("As the &system"),
            Look.LIGHT: tr("&Light"),
            Look.DARK: tr("&Dark"),
            Look.HIGH_CONTRAST: tr("&High contrast"),
        }
        self.looks = self._choices(
            menu.addMenu(tr("&Look")), list(look_names.items()), window.appearance.set_look
        )
        sizes = [(percent, in_percent(percent)) for percent in TEXT_PERCENTS]
        self.sizes = self._choices(
            menu.addMenu(tr("&Text size")), sizes, window.appearance.set_text_percent
        )
        units: list[tuple[UnitSystem, str]] = [
            ("metric", tr("&Metric (°C, kg)")),
            ("us", tr("&US (°F, lb)")),
        ]
        self.units = self._choices(menu.addMenu(tr("&Units")), units, window.set_units)
        self._of_season += self.units.values()
        self.languages = self._build_languages(menu)

    def _build_languages(self, menu: QMenu) -> dict[str, QAction]:
        """The choice of a language, where there is one."""
        codes = languages()
        if len(codes) < 2:
            return {}
        names = [(code, own_name(code)) for code in codes]
        return self._choices(
            menu.addMenu(tr("Lan&guage")),
            [(AS_THE_SYSTEM, tr("As the &system")), *names],
            self._window.set_language,
        )

    def _build_help(self) -> None:
        window = self._window
        menu = self._bar.addMenu(tr("&Help"))
        self._add(menu, tr("&This page"), window.show_help, QKeySequence("F1"))
        for text, topic in (
            (tr("&First steps"), "steps"),
            (tr("&Words"), "words"),
            (tr("&Keyboard"), "keyboard"),
            (tr("&Cautions"), "cautions"),
            (tr("&About ripenroom"), "about"),
        ):
            self._add(menu, text, partial(window.show_help, topic))

    # Keeping them up to date

    def show_season(self, session: Session | None) -> None:
        """Tick and enable what goes with the open season (or with none)."""
        for action in self._of_season:
            action.setEnabled(session is not None)
        if session is not None and session is not self._planning:
            session.plans.working_changed.connect(self._show_planning)
        self._planning = session
        self._show_planning()
        self.looks[self._window.appearance.look].setChecked(True)
        self.sizes[self._window.appearance.text_percent].setChecked(True)
        if self.languages:
            self.languages[chosen_language(self._window.settings)].setChecked(True)
        season = session.season if session else None
        if season is not None:
            self.units[season.book.season.units].setChecked(True)
        for action, text in (
            (self.undo, undo_text(season.undo_label if season else None)),
            (self.redo, redo_text(season.redo_label if season else None)),
        ):
            action.setText(text)
        writable = season is not None and season.read_only_because is None
        self.undo.setEnabled(bool(writable and season is not None and season.undo_label))
        self.redo.setEnabled(bool(writable and season is not None and season.redo_label))

    def _fill_recent(self) -> None:
        self.recent.clear()
        for path in self._window.recent.paths():
            self._add(self.recent, str(path), partial(self._window.open_path, path))
        if self.recent.isEmpty():
            self.recent.addAction(tr("No season opened yet")).setEnabled(False)

    # Small helpers

    def _add(
        self,
        menu: QMenu,
        text: str,
        does: Callable[[], object],
        keys: QKeySequence | QKeySequence.StandardKey | None = None,
    ) -> QAction:
        action = menu.addAction(text)
        action.triggered.connect(lambda _checked=False: does())
        if keys is not None:
            action.setShortcut(QKeySequence(keys))
        return action

    def _add_for_season(
        self,
        menu: QMenu,
        text: str,
        does: Callable[[], object],
        keys: QKeySequence | None = None,
    ) -> None:
        self._of_season.append(self._add(menu, text, does, keys))

    def _choices(
        self, menu: QMenu, choices: Sequence[tuple[_Value, str]], choose: Callable[[_Value], None]
    ) -> dict[_Value, QAction]:
        group = QActionGroup(self)
        actions: dict[_Value, QAction] = {}
        for value, text in choices:
            action = self._add(menu, text, partial(choose, value))
            action.setCheckable(True)
            group.addAction(action)
            actions[value] = action
        return actions


def undo_text(label: str | None) -> str:
    """What the undo button and menu entry say."""
    if not label:
        return tr("Undo")
    return tr("Undo: {what}").format(what=label)


def redo_text(label: str | None) -> str:
    """What the redo button and menu entry say."""
    if not label:
        return tr("Redo")
    return tr("Redo: {what}").format(what=label)
