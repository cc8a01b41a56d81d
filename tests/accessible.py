"""What a screen reader is told: the accessible tree of a window, and the way of the Tab key."""

from collections.abc import Iterator
from typing import NamedTuple

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QTextBrowser, QWidget

_CONTROLS = {
    QAccessible.Role.Button,
    QAccessible.Role.ButtonMenu,
    QAccessible.Role.ButtonDropDown,
    QAccessible.Role.CheckBox,
    QAccessible.Role.RadioButton,
    QAccessible.Role.ComboBox,
    QAccessible.Role.EditableText,
    QAccessible.Role.SpinBox,
    QAccessible.Role.Slider,
    QAccessible.Role.PageTab,
    QAccessible.Role.PageTabList,
    QAccessible.Role.List,
    QAccessible.Role.Table,
    QAccessible.Role.Tree,
    QAccessible.Role.Link,
    QAccessible.Role.MenuItem,
}
"""Roles of what is acted on, and so needs a name."""

_MOST_LINKS = 200
_MOST_ITEMS = 40
"""Of a table or list, only so many cells are looked at."""


class Node(NamedTuple):
    """One element as it is read out: how deep it lies, what it is, its name, what it is like."""

    depth: int
    role: QAccessible.Role
    name: str
    says: str
    """What tells it from others of its role: its name, but of a choice not what is chosen."""
    states: tuple[str, ...]

    def __str__(self) -> str:
        words = [self.role.name, f'"{self.name}"', *self.states]
        if self.says != self.name:
            words.insert(1, f"({self.says})")
        return "  " * self.depth + " ".join(words)


def tree(root: QWidget) -> list[Node]:
    """All that is shown of a window, from the top down."""
    interface = QAccessible.queryAccessibleInterface(root)
    assert interface is not None
    return list(_nodes(interface, 0))


def _nodes(interface: QAccessibleInterface, depth: int) -> Iterator[Node]:
    state = interface.state()
    if state.invisible:
        return
    name = interface.text(QAccessible.Text.Name).strip()
    yield Node(
        depth,
        interface.role(),
        name,
        _label(interface) if interface.role() == QAccessible.Role.ComboBox else name,
        tuple(name for name in _STATES if getattr(state, name)),
    )
    for number in range(min(interface.childCount(), _MOST_ITEMS)):
        child = interface.child(number)
        if child is not None and child.isValid():
            yield from _nodes(child, depth + 1)


def _label(choice: QAccessibleInterface) -> str:
    """What a combo box is for: on Linux its name is its choice, and a label or description tells.

    Other systems read out the accessible name, so that has to say no less.
    """
    labels = [
        label.text(QAccessible.Text.Name)
        for label, kind in choice.relations()
        if kind == QAccessible.RelationFlag.Label
    ]
    name = str(choice.object().property("accessibleName"))
    described = name in choice.text(QAccessible.Text.Description)
    return name if labels or described else ""


_STATES = (
    "focusable", "focused", "disabled", "checkable", "checked", "selectable", "selected",
    "expandable", "expanded", "editable", "readOnly", "hasPopup", "modal",
)  # fmt: skip


def nameless(nodes: list[Node]) -> list[Node]:
    """Controls of which nothing is read out that says what they are."""
    return [node for node in nodes if node.role in _CONTROLS and not node.says]


class Step(NamedTuple):
    """One stop of the Tab key, and why it should not come there; empty if it may."""

    widget: QWidget
    wrong: str


def tab_order(root: QWidget, most: int = 400) -> list[Step]:
    """Where Tab goes in a window until it comes back to where it was first.

    A stop is wrong where Tab does not leave it, or where it lies before the last one as people
    read: above it, or left of it in its row. The last stop closes the ring.
    """
    first = last = QApplication.focusWidget() or root
    steps: list[Step] = []
    for _ in range(most):
        now = _after_tab(last) or root
        if now is last:
            return [*steps, Step(now, "Tab does not leave it")]
        if any(step.widget is now for step in steps):
            return [*steps, Step(now, "Tab comes back here, and not to where it began")]
        steps.append(Step(now, jump_back(last, now)))
        last = now
        if now is first:
            break
    return _without_the_turn(steps)


def _after_tab(widget: QWidget) -> QWidget | None:
    """Where Tab goes. In a text it goes from link to link first."""
    for _ in range(_MOST_LINKS if isinstance(widget, QTextBrowser | QLabel) else 1):
        QTest.keyClick(widget, Qt.Key.Key_Tab)
        if QApplication.focusWidget() is not widget:
            break
    return QApplication.focusWidget()


def _without_the_turn(steps: list[Step]) -> list[Step]:
    """From the last stop to the first is no jump: none lies before the first."""
    stops = [step.widget for step in steps]

    def is_first(widget: QWidget) -> bool:
        return not any(jump_back(widget, other) for other in stops if other is not widget)

    return [step._replace(wrong="") if is_first(step.widget) else step for step in steps]


def jump_back(last: QWidget, now: QWidget) -> str:
    """Why ``now`` lies before ``last`` as people read; empty if it does not.

    What is compared is the parts of the window that hold the one and not the other, so that a
    long list which is scrolled does not count as lying below the buttons under it.
    """
    above_last, above_now = _with_parents(last), _with_parents(now)
    common = next(parent for parent in above_last if parent in above_now)
    one = above_last[max(above_last.index(common) - 1, 0)]
    other = above_now[max(above_now.index(common) - 1, 0)]
    if common in (one, other):
        return ""
    before, after = (QRect(part.mapTo(common, QPoint()), part.size()) for part in (one, other))
    if isinstance(last, QPushButton) and last.isDefault():
        return ""  # Enter's own button follows the fields, wherever the system puts it
    is_right = after.left() > before.right()
    if after.bottom() < before.top() and not is_right:
        return "it lies above the last"
    in_one_row = after.top() <= before.bottom() and before.top() <= after.bottom()
    if in_one_row and after.right() < before.left():
        return "it lies left of the last"
    return ""


def _with_parents(widget: QWidget) -> list[QWidget]:
    found, at = [widget], widget
    while not at.isWindow() and (parent := at.parentWidget()) is not None:
        found.append(parent)
        at = parent
    return found


def called(widget: QWidget) -> str:
    """How a control is told apart in a message."""
    interface = QAccessible.queryAccessibleInterface(widget)
    name = interface.text(QAccessible.Text.Name) if interface else ""
    return f"{type(widget).__name__} {name!r}"
