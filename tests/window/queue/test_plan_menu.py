"""Decisions in the menu of a batch."""

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.decide import DecideDialog
from ripenroom.window.queue.menu import add_plan
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.session import Session
from tests.window.planned import planned
from tests.window.queue.test_drag import movable

pytestmark = pytest.mark.usefixtures("some_batches")


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> Iterator[QueuePage]:
    planned(qtbot, session)
    made = QueuePage(session)
    qtbot.addWidget(made)
    made.resize(1400, 1400)
    made.show()
    made.canvas.setFocus()
    yield made
    session.plans.close()


def menu_of(page: QueuePage) -> QMenu:
    menu = QMenu(page)
    batch_id = page.canvas.selected_batch()
    assert batch_id is not None
    chosen = page.canvas.chosen_way()
    add_plan(menu, page.session, page.canvas.hand, chosen, batch_id, page.decide)
    return menu


def action(menu: QMenu, begins: str) -> QAction:
    return next(one for one in menu.actions() if one.text().startswith(begins))


def test_every_decision_is_there_in_words_with_its_key(page: QueuePage) -> None:
    movable(page)
    texts = [one.text() for one in menu_of(page).actions() if one.text()]
    assert texts == [
        "Move it an evening earlier\tShift+←",
        "Move it an evening later\tShift+→",
        "For the market day before\tAlt+←",
        "For the market day after\tAlt+→",
        "Plan a move to",
        "Pin as planned\tP",
        "Plan this batch yourself…\tD",
    ]


def test_a_later_evening_is_tried_at_once(page: QueuePage) -> None:
    movable(page)
    action(menu_of(page), "Move it an evening later").trigger()
    trial = page.canvas.hand.trial
    assert trial is not None
    assert trial.cost
    assert trial.pin.pull_at != trial.was.pull_at


def test_the_planned_place_is_ticked_and_another_one_is_tried(page: QueuePage) -> None:
    way = movable(page)
    places = action(menu_of(page), "Plan a move to").menu()
    assert isinstance(places, QMenu)
    [ticked] = [one for one in places.actions() if one.isChecked()]
    names = page.session.season.book.places
    assert ticked.text() == names[way.line.to_place_id or ""].name
    places.actions()[0].trigger()
    trial = page.canvas.hand.trial
    assert trial is not None
    assert trial.pin.place_id is None


def test_a_pinned_one_offers_to_take_the_pin_off(qtbot: QtBot, page: QueuePage) -> None:
    movable(page)
    action(menu_of(page), "Pin as planned").trigger()
    planned(qtbot, page.session)
    scene, line = page.canvas.scene, page.canvas.selected
    assert scene is not None
    assert line is not None
    page.canvas.choose(line, next(way for way in scene.ways_of(line) if way.pinned))
    action(menu_of(page), "Take the pin off").trigger()
    assert not page.session.season.book.pins


def test_the_form_opens_from_the_menu(page: QueuePage) -> None:
    movable(page)
    action(menu_of(page), "Plan this batch yourself").trigger()
    [form] = page.findChildren(DecideDialog)
    assert form.isVisible()


def test_a_batch_of_which_nothing_is_planned_can_still_be_decided_on(page: QueuePage) -> None:
    page.canvas.select_batch(movable(page).line.batch_id)
    page.canvas.chosen = None
    texts = [one.text() for one in menu_of(page).actions() if one.text()]
    assert texts == ["Plan this batch yourself…\tD"]
