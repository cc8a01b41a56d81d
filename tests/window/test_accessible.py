"""What a screen reader is told of every page and dialog, and the way that Tab takes through it.

Roles, names and states are asked of Qt's own accessible interfaces, which every system's screen
reader is served from.
"""

import os
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.widgets.layouts import tab_as_laid_out
from tests.accessible import called, nameless, tab_order, tree
from tests.pictured_dialogs import copies
from tests.window.test_letters import every_dialog

KEPT = os.environ.get("RIPENROOM_TREES")
"""A folder to write all trees into, to be read."""

DOWN_THE_COLUMNS = {"after-market", "market-day", "second-grade"}
"""Where Tab goes down the columns, as README says of numbers after a market day; or through the
fields of all lines, then down what takes lines away: from one to the next it goes up."""


@pytest.fixture
def planned(qtbot: QtBot, window: MainWindow) -> MainWindow:
    """The window with its plan made, so that pages show all that they have."""
    session = window.session
    assert session is not None
    session.plans.begin()
    qtbot.waitUntil(lambda: session.plans.plan is not None, timeout=60_000)
    qtbot.waitUntil(lambda: not session.plans.working, timeout=60_000)
    return window


def wrongs(name: str, root: QWidget) -> list[str]:
    """What is wrong with one window, each with where it is."""
    QApplication.processEvents()
    nodes, steps = tree(root), tab_order(root)
    if KEPT is not None:
        lines = [*map(str, nodes), "", "Tab:", *(f"{called(w)} {wrong}" for w, wrong in steps)]
        Path(KEPT).mkdir(exist_ok=True)
        Path(KEPT, f"{name}.txt").write_text("\n".join(lines) + "\n", "utf-8")
    found = [f"{name}: no name: {str(node).strip()}" for node in nameless(nodes)]
    for widget, wrong in steps:
        if wrong and not (name in DOWN_THE_COLUMNS and "above" in wrong):
            found.append(f"{name}: {called(widget)}: {wrong}")
    return found


def left_out(window: QWidget, page: QWidget) -> list[QWidget]:
    """Buttons and choices of a page that Tab never comes by, from wherever it starts."""
    ring = {step.widget for step in tab_order(window)}
    controls = [*page.findChildren(QComboBox), *page.findChildren(QPushButton)]
    return [
        widget
        for widget in controls
        if widget.isVisible() and widget.isEnabled() and widget not in ring
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
    ]


def test_every_page_can_be_read_out_and_gone_through(planned: MainWindow) -> None:
    desk = planned.desk
    assert desk is not None
    found: list[str] = []
    for name in PAGES:
        desk.go_to(name)
        found += wrongs(name, planned)
        found += [f"{name}: Tab leaves {called(w)} out" for w in left_out(planned, desk.page(name))]
    assert not found, "\n".join(found)


@pytest.mark.long
@pytest.mark.usefixtures("some_batches")
def test_every_dialog_can_be_read_out_and_gone_through(
    qtbot: QtBot, planned: MainWindow, tmp_path: Path
) -> None:
    session = planned.session
    assert session is not None
    found: list[str] = []
    seen: set[str] = set()
    made: Iterator[tuple[str, Callable[[], QWidget]]] = chain(
        every_dialog(qtbot, planned, tmp_path), copies(session, tmp_path, planned)
    )
    for name, make in made:
        dialog = make()
        dialog.show()
        dialog.activateWindow()
        qtbot.waitUntil(dialog.isActiveWindow)
        found += wrongs(name, dialog)
        seen.add(name)
        dialog.close()
        dialog.deleteLater()
    assert not found, "\n".join(found)
    assert len(seen) > 30


class Sample(QWidget):
    """Three buttons in a row over a fourth, made in another order."""

    def __init__(self) -> None:
        super().__init__()
        self.below, self.right, self.left, self.middle = (
            QPushButton(text, self) for text in ("below", "right", "left", "middle")
        )
        row = QHBoxLayout()
        for button in (self.left, self.middle, self.right):
            row.addWidget(button)
        self.column = QVBoxLayout(self)
        self.column.addLayout(row)
        self.column.addWidget(self.below)


def shown(qtbot: QtBot, widget: QWidget) -> None:
    qtbot.addWidget(widget)
    widget.show()
    widget.activateWindow()
    qtbot.waitUntil(widget.isActiveWindow)


def test_a_jump_back_a_trap_and_a_nameless_button_are_found(qtbot: QtBot) -> None:
    sample = Sample()
    shown(qtbot, sample)
    told = wrongs("sample", sample)
    assert "sample: QPushButton 'right': it lies above the last" in told
    sample.right.setText("")
    assert any("no name: Button" in text for text in wrongs("sample", sample))
    sample.middle.focusNextPrevChild = lambda _next: True  # type: ignore[method-assign]
    assert "sample: QPushButton 'middle': Tab does not leave it" in wrongs("sample", sample)


def test_laid_out_is_how_tab_goes(qtbot: QtBot) -> None:
    sample = Sample()
    tab_as_laid_out(sample.column)
    shown(qtbot, sample)
    assert wrongs("sample", sample) == []
    ring = [step.widget for step in tab_order(sample)]
    start = ring.index(sample.left)
    turned = ring[start:] + ring[:start]
    assert turned == [sample.left, sample.middle, sample.right, sample.below]


def test_a_choice_without_a_label_is_found(qtbot: QtBot) -> None:
    root = QWidget()
    box = QComboBox(root)
    box.addItem("°C")
    box.setAccessibleName("Unit")
    shown(qtbot, root)
    (node,) = (node for node in tree(root) if node.role == QAccessible.Role.ComboBox)
    assert nameless([node]) == [node]
    box.setAccessibleDescription("Unit")
    assert nameless(tree(root)) == []
