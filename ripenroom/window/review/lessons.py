"""What this season begins from and can pass on: lessons by file or from another season."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.exchange.lesson_file import SUFFIX, read_lessons, write_lessons
from ripenroom.records.check import Lesson, TreeLesson
from ripenroom.season import actions
from ripenroom.season.learning.lessons import SharedLessons
from ripenroom.season.season import EXTENSION
from ripenroom.texts import tr
from ripenroom.window.dialogs import proposed
from ripenroom.window.forms.compare_seasons import tree_lesson_words
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.names import crop_name
from ripenroom.wording.review import lesson_words


def ask_to_save(session: Session, parent: QWidget) -> None:
    """Ask for a name and write what this season taught."""
    name, _ = QFileDialog.getSaveFileName(
        parent,
        tr("Save what this season learned as"),
        proposed(session.season.path.parent, f"{session.season.path.stem} lessons", SUFFIX),
        tr("Lessons (*{suffix})").format(suffix=SUFFIX),
    )
    if name:
        save_lessons(session, Path(name))


def save_lessons(session: Session, path: Path) -> None:
    """Write what this season taught; where, or why not, is said at the foot of the window."""
    written: list[Path] = []

    def command() -> None:
        written.append(write_lessons(session.season.ask.lessons(), path))

    if session.run("", command):
        session.say(tr("Saved in {file}").format(file=written[0]))


def ask_to_begin(session: Session, parent: QWidget) -> None:
    """Ask for a file of lessons or for another season, and begin from what it taught."""
    name, _ = QFileDialog.getOpenFileName(
        parent,
        tr("Start from what another season learned"),
        "",
        tr("Lessons and seasons (*{lessons} *{season});;All files (*)").format(
            lessons=SUFFIX, season=EXTENSION
        ),
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
            tr("This season starts from what “{season}” learned. Ctrl+Z takes it back.").format(
                season=shared.taught_by
            )
        )

    working = tr("Reading {file}…").format(file=path.name)
    session.run_beside(working, read, take)


class LessonList(QWidget):
    """One line per lesson; Delete drops the chosen ones."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        heading = WrappedLabel(tr("Lessons of other seasons"), self)
        heading.setObjectName("sectionTitle")
        self.empty = WrappedLabel(
            tr(
                "This season started from what is usual for each crop. It can start from what an "
                "earlier season learned, yours or a neighbour’s: from its lessons file or its "
                "season file."
            ),
            self,
        )
        self.list = QListWidget(self)
        self.list.setAccessibleName(heading.text())
        self.list.setSelectionMode(QListWidget.SelectionMode.ExtendedSelection)
        self.list.setWordWrap(True)
        self.begin_button = self._button(tr("S&tart from another season…"))
        self.begin_button.clicked.connect(lambda: ask_to_begin(session, self))
        self.delete_button = self._button(tr("&Delete lesson"))
        self.delete_button.clicked.connect(self._delete)
        self.save_button = self._button(tr("&Save what this season learned…"))
        self.save_button.clicked.connect(lambda: ask_to_save(session, self))
        buttons = FlowLayout(spacing=6)
        for button in (self.begin_button, self.delete_button, self.save_button):
            buttons.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(heading)
        layout.addWidget(self.empty)
        layout.addWidget(self.list)
        layout.addLayout(buttons)
        self.list.itemSelectionChanged.connect(self._enable)

    def _button(self, text: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setAutoDefault(False)
        return button

    def refresh(self) -> None:
        """Show the lessons as they are now."""
        season = self.session.season
        lessons: list[Lesson | TreeLesson] = [*season.book.lessons.values()]
        lessons = sorted([*lessons, *season.book.tree_lessons.values()], key=self._order)
        self.list.clear()
        for lesson in lessons:
            text = self._words_of(lesson)
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, lesson.id)
            self.list.addItem(item)
        self.list.setVisible(bool(lessons))
        line = round(self.fontMetrics().height() * 1.5)
        self.list.setFixedHeight(line * min(max(len(lessons), 1), 6) + 8)
        self.empty.setVisible(not lessons)
        self._enable()

    def _words_of(self, lesson: Lesson | TreeLesson) -> str:
        words = self.session.words
        if isinstance(lesson, TreeLesson):
            return tr("On the tree: {lesson}").format(lesson=tree_lesson_words(lesson, words))
        return lesson_words(lesson, crop_name(self.session.season.crops, lesson.crop), words)

    @staticmethod
    def _order(lesson: Lesson | TreeLesson) -> tuple[str, str, str]:
        return lesson.taught_by.casefold(), lesson.crop, (lesson.cultivar or "").casefold()

    def _enable(self) -> None:
        why = self.session.season.read_only_because
        for button in (self.begin_button, self.delete_button):
            button.setEnabled(why is None)
            set_hint(button, why or "")
        self.delete_button.setEnabled(why is None and bool(self.list.selectedItems()))
        self.delete_button.setVisible(not self.list.isHidden())

    def _delete(self) -> None:
        chosen = [str(i.data(Qt.ItemDataRole.UserRole)) for i in self.list.selectedItems()]
        self.session.do(
            tr("Lesson deleted. Ctrl+Z brings it back."), actions.lessons.delete, chosen
        )
