"""Help says what the keys do, and what can hurt."""

from PySide6.QtGui import QAction, QKeySequence
from pytestqt.qtbot import QtBot

from ripenroom.window.help import texts
from ripenroom.window.help.reader import Reader
from ripenroom.window.main_window import MainWindow


def test_every_shortcut_of_the_window_is_on_the_keyboard_page(window: MainWindow) -> None:
    told = {keys for _, lines in texts.keyboard() for keys, _ in lines}
    for action in window.menuBar().findChildren(QAction) + window.findChildren(QAction):
        keys = action.shortcut().toString(QKeySequence.SequenceFormat.PortableText)
        if keys and not keys.startswith("Alt+"):
            assert keys in told, keys
    assert "Alt+1 … Alt+8" in told


def test_the_cautions_name_every_danger() -> None:
    said = " ".join(text for _, text in texts.cautions(())).lower()
    for word in ("dropped", "react badly", "oxygen", "carbon dioxide", "flammable", "inside"):
        assert word in said, word
    assert "not food-safety advice" in said
    assert "local codes" in said


def test_the_reader_shows_text_as_text(qtbot: QtBot) -> None:
    reader = Reader("Keyboard")
    qtbot.addWidget(reader)
    reader.show_groups([("A < B", [("Ctrl+<", "less & more")])])
    assert "less & more" in reader.text.toPlainText()
    assert "A < B" in reader.text.toPlainText()
    reader.show_paragraphs(texts.about())
    assert "ripenroom" in reader.text.toPlainText()
