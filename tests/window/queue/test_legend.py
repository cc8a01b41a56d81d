"""The legend explains every fill."""

from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.legend import Legend


def test_every_mark_has_its_words_and_is_painted(qtbot: QtBot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    legend.resize(1000, 60)
    legend.show()
    entries = legend.findChildren(QWidget)
    names = [entry.accessibleName() for entry in entries]
    assert names[:4] == ["holding", "ready", "past", "won't ripen"]
    assert len(set(names)) == 17
    images = [entry.grab().toImage() for entry in entries]
    assert all(one != other for n, one in enumerate(images) for other in images[n + 1 :])


def test_a_narrow_legend_takes_more_rows(qtbot: QtBot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    layout = legend.layout()
    assert layout is not None
    assert layout.heightForWidth(300) > layout.heightForWidth(2000)


def test_posts_are_explained_where_there_are_any(qtbot: QtBot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    legend.show()
    [posts] = [w for w in legend.findChildren(QWidget) if "cold" in w.accessibleName()]
    assert not posts.isVisible()
    legend.show_gates(True)
    assert posts.isVisible()


def test_ticks_of_moves_are_explained_where_there_are_any(qtbot: QtBot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    legend.show()
    [ticks] = [w for w in legend.findChildren(QWidget) if "moved" in w.accessibleName()]
    assert not ticks.isVisible()
    legend.show_moves(True)
    assert ticks.isVisible()


def test_marks_of_the_plan_are_explained_where_there_are_any(qtbot: QtBot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    legend.show()
    [knot] = [w for w in legend.findChildren(QWidget) if "pinned" in w.accessibleName()]
    [ring] = [w for w in legend.findChildren(QWidget) if "planned move" in w.accessibleName()]
    assert not knot.isVisible()
    legend.show_plan({"knot"})
    assert knot.isVisible()
    assert not ring.isVisible()
