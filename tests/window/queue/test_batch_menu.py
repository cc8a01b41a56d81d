"""What can be done with a batch from the queue."""

from datetime import UTC, date, datetime, timedelta

import pytest
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.batch_moves import EthyleneDialog, TakeOutDialog
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.queue.menu import batch_menu
from ripenroom.window.session import Session
from tests.window.gated import pick


@pytest.fixture
def parent(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    return made


@pytest.fixture
def cold_batch(session: Session) -> str:
    """A batch with fruit left, in the coldest place that has one without a pull planned yet."""
    season, projection = session.season, session.projection()
    left = [
        one
        for n, one in enumerate(projection.batch_ids)
        if projection.left[n] > 0 and season.moves_of(one)[-1].at <= season.now()
    ]

    def cold(batch_id: str) -> float:
        place = season.place_of(batch_id)
        return season.set_point_c(place.id) if place else 99.0

    return min(left, key=cold)


def entries(menu: QMenu) -> dict[str, QAction]:
    return {action.text(): action for action in menu.actions() if action.text()}


def under(action: QAction) -> list[QAction]:
    menu = action.menu()
    assert isinstance(menu, QMenu)
    return menu.actions()


def test_a_batch_can_be_opened_moved_sold_and_pulled(
    session: Session, parent: QWidget, cold_batch: str
) -> None:
    opened: list[str] = []
    tomorrow = session.season.now().date() + timedelta(days=1)
    menu = batch_menu(session, cold_batch, tomorrow, opened.append, lambda day: None, parent)
    offered = entries(menu)
    code = session.season.book.batches[cold_batch].code
    offered[f"Open {code}"].trigger()
    assert opened == [cold_batch]
    assert {"Sold…", "Discarded…", "Move now to"} <= offered.keys()
    assert f"Move on {session.words.day(tomorrow)} to" in offered


def test_moving_moves_and_can_be_undone(session: Session, parent: QWidget, cold_batch: str) -> None:
    season = session.season
    here = season.place_of(cold_batch)
    assert here is not None
    menu = batch_menu(session, cold_batch, None, lambda _: None, lambda _: None, parent)
    target = under(entries(menu)["Move now to"])[0]
    assert target.text() != here.name
    target.trigger()
    there = season.place_of(cold_batch)
    assert there is not None
    assert there.name == target.text()
    season.undo()
    assert season.place_of(cold_batch) == here


def test_pulling_plans_the_move_for_the_morning_on_the_home_clock(
    session: Session, parent: QWidget, cold_batch: str
) -> None:
    season = session.season
    day = season.now().date() + timedelta(days=2)
    here = season.place_of(cold_batch)
    menu = batch_menu(session, cold_batch, day, lambda _: None, lambda _: None, parent)
    warm = under(entries(menu)[f"Move on {session.words.day(day)} to"])
    assert here is not None
    names = {place.name: place for place in season.book.places.values()}
    for action in warm:
        assert season.set_point_c(names[action.text()].id) > season.set_point_c(here.id)
    warm[0].trigger()
    pull = season.moves_of(cold_batch)[-1]
    assert pull.at.astimezone(season.zone) == datetime(
        day.year, day.month, day.day, 8, tzinfo=season.zone
    )
    assert pull.at > season.now().astimezone(UTC)


def test_today_has_no_pull(session: Session, parent: QWidget, cold_batch: str) -> None:
    today = session.season.now().date()
    menu = batch_menu(session, cold_batch, today, lambda _: None, lambda _: None, parent)
    assert not any(text.startswith("Move on") for text in entries(menu))


def test_empty_space_offers_only_a_market_day(session: Session, parent: QWidget) -> None:
    asked: list[date] = []
    day = date(2026, 10, 7)
    menu = batch_menu(session, None, day, lambda _: None, asked.append, parent)
    offered = entries(menu)
    assert list(offered) == [f"Add a market day on {session.words.day(day)}…"]
    next(iter(offered.values())).trigger()
    assert asked == [day]


def test_sold_opens_its_form(session: Session, parent: QWidget, cold_batch: str) -> None:
    menu = batch_menu(session, cold_batch, None, lambda _: None, lambda _: None, parent)
    entries(menu)["Sold…"].trigger()
    form = parent.findChild(TakeOutDialog)
    assert form is not None
    assert form.isVisible()
    form.close()


def test_check_opens_its_form(session: Session, parent: QWidget, cold_batch: str) -> None:
    menu = batch_menu(session, cold_batch, None, lambda batch: None, lambda day: None, parent)
    entries(menu)["Check…\tC"].trigger()
    [dialog] = parent.findChildren(CheckDialog)
    assert dialog.isVisible()
    assert dialog.batch_id == cold_batch
    dialog.close()


def test_ethylene_is_offered_where_it_opens_a_gate(
    session: Session, parent: QWidget, cold_batch: str
) -> None:
    anjou = pick(session, "anjou", warm=True)

    def menu_of(batch_id: str) -> dict[str, QAction]:
        return entries(batch_menu(session, batch_id, None, print, print, parent))

    assert "Ethylene…" not in menu_of(cold_batch)
    menu_of(anjou)["Ethylene…"].trigger()
    [dialog] = parent.findChildren(EthyleneDialog)
    dialog.accept()
    assert [t.batch_id for t in session.season.book.treatments.values()] == [anjou]
