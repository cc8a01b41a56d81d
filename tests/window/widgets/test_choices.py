"""A list that keeps its choice."""

from pytestqt.qtbot import QtBot

from ripenroom.window.widgets.inputs import RecordChoice


def test_the_choice_stays_while_it_is_offered(qtbot: QtBot) -> None:
    choices = RecordChoice()
    qtbot.addWidget(choices)
    choices.set_choices([("a", "Apple row"), ("b", "Bean row")])
    assert choices.choose("b")
    with qtbot.assertNotEmitted(choices.currentIndexChanged):
        choices.set_choices([("z", "Zinnia row"), ("b", "Bean row, renamed")])
    assert choices.value() == "b"
    assert choices.currentText() == "Bean row, renamed"


def test_what_is_not_offered_is_not_chosen(qtbot: QtBot) -> None:
    choices = RecordChoice()
    qtbot.addWidget(choices)
    assert choices.value() is None
    choices.set_choices([(None, "no row"), ("a", "Apple row")])
    assert not choices.choose("gone")
    assert choices.value() is None
    assert choices.currentText() == "no row"
