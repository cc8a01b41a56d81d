"""Help says what the keys do, and what can hurt."""

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QAction, QKeySequence, QTextDocument
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.window.help import texts, topics
from ripenroom.window.help.dialog import FIRST_STEPS, HelpDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.page_stack import page_titles


def test_every_shortcut_of_the_window_is_on_the_keyboard_page(window: MainWindow) -> None:
    told = {keys for _, lines in texts.keyboard() for keys, _ in lines}
    for action in window.menuBar().findChildren(QAction) + window.findChildren(QAction):
        keys = action.shortcut().toString(QKeySequence.SequenceFormat.PortableText)
        if keys and not keys.startswith("Alt+"):
            assert keys in told, keys
    assert "Alt+1 … Alt+9" in told


def test_the_cautions_name_every_danger() -> None:
    said = " ".join(text for _, text in texts.cautions(())).lower()
    for word in ("dropped", "react badly", "oxygen", "carbon dioxide", "flammable", "inside"):
        assert word in said, word
    assert "not food-safety advice" in said
    assert "local codes" in said


PAGES = (("today", "Today"), ("picks", "Picks < more"))


def opened(qtbot: QtBot, topic: str) -> HelpDialog:
    made = HelpDialog(topic, PAGES, ())
    qtbot.addWidget(made)
    made.show()
    return made


def test_text_is_shown_as_text(qtbot: QtBot) -> None:
    assert "Picks < more" in opened(qtbot, "picks").text.toPlainText()


def test_the_arrow_keys_go_through_the_topics(qtbot: QtBot) -> None:
    dialog = opened(qtbot, FIRST_STEPS)
    seen = set()
    for _ in range(dialog.list.count()):
        seen.add(dialog.text.toPlainText())
        QTest.keyClick(dialog.list, Qt.Key.Key_Down)
    assert len(seen) == dialog.list.count() == len(PAGES) + 5
    assert all(len(text) > 100 for text in seen)


def test_each_first_step_has_a_drawing_of_its_own(qtbot: QtBot) -> None:
    dialog = opened(qtbot, FIRST_STEPS)
    kind = QTextDocument.ResourceType.ImageResource.value
    drawings = [
        dialog.text.document().resource(kind, QUrl(f"drawing:{step.picture}"))
        for step in topics.first_steps()
    ]
    assert len({bytes(image.constBits()) for image in drawings}) == 5
    assert dialog.text.toHtml().count("<img") == 5


def test_every_page_is_explained(window: MainWindow) -> None:
    for name, _ in page_titles():
        assert topics.page_help(name)


def test_the_question_mark_opens_help_on_the_page_in_front(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = []
    monkeypatch.setattr(
        "ripenroom.window.main_window.ask",
        lambda dialog: shown.append((dialog.list.currentItem().text(), dialog)),
    )
    assert window.desk is not None
    window.desk.go_to("market_days")
    window.desk.help_button.click()
    assert [title for title, _ in shown] == ["Market days"]
