"""Lessons out to a file, and in from a file or from another season."""

from pathlib import Path

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from ripenroom.exchange.lesson_file import SUFFIX, read_lessons, write_lessons
from ripenroom.season import actions
from ripenroom.season.lessons import SharedLessons
from ripenroom.season.season import EXTENSION
from ripenroom.window.proposed import proposed
from ripenroom.window.session import Session


def ask_to_save(session: Session, parent: QWidget) -> None:
    """Ask for a name and write what this season taught."""
    name, _ = QFileDialog.getSaveFileName(
        parent,
        QCoreApplication.translate("Lessons", "Save what this season taught as"),
        proposed(session.season.path.parent, f"{session.season.path.stem} lessons", SUFFIX),
        QCoreApplication.translate("Lessons", "Lessons (*{suffix})").format(suffix=SUFFIX),
    )
    if name:
        save_lessons(session, Path(name))


def save_lessons(session: Session, path: Path) -> None:
    """Write what this season taught; where, or why not, is said at the foot of the window."""
    written: list[Path] = []

    def command() -> None:
        written.append(write_lessons(session.season.ask.lessons(), path))

    if session.run("", command):
        session.say(
            QCoreApplication.translate("Lessons", "Written to {file}").format(file=written[0])
        )


def ask_to_begin(session: Session, parent: QWidget) -> None:
    """Ask for a file of lessons or for another season, and begin from what it taught."""
    name, _ = QFileDialog.getOpenFileName(
        parent,
        QCoreApplication.translate("Lessons", "Begin from what another season taught"),
        "",
        QCoreApplication.translate(
            "Lessons", "Lessons and seasons (*{lessons} *{season});;All files (*)"
        ).format(lessons=SUFFIX, season=EXTENSION),
    )
    if name:
        begin_from(session, Path(name))


def begin_from(session: Session, path: Path) -> None:
    """Take what a file of lessons, or another season's file, taught."""
    season = session.season
    ask = season.ask

    def read() -> SharedLessons:
        if path.suffix.casefold() == EXTENSION.casefold():
            return ask.lessons_of_file(path)
        return read_lessons(path)

    def take(shared: SharedLessons) -> None:
        season.do(actions.lessons.take, shared)
        session.say(
            QCoreApplication.translate(
                "Lessons", "This season begins from what “{season}” taught. Ctrl+Z takes it back."
            ).format(season=shared.taught_by)
        )

    working = QCoreApplication.translate("Lessons", "Reading {file}…").format(file=path.name)
    session.run_beside(working, read, take)
