"""A page catches up when it comes to the front, and not before."""

from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.page import Page
from ripenroom.window.session import Session


class CountingPage(Page):
    """Counts its refreshes."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.refreshes = 0

    def refresh(self) -> None:
        self.refreshes += 1


def delete_one(session: Session) -> None:
    session.season.delete_batches([next(iter(session.season.book.batches))])


def test_hidden_pages_wait_and_visible_ones_follow(qtbot: QtBot, session: Session) -> None:
    page = CountingPage(session)
    qtbot.addWidget(page)
    delete_one(session)
    delete_one(session)
    assert page.refreshes == 0
    page.show()
    assert page.refreshes == 1
    delete_one(session)
    assert page.refreshes == 2
    page.hide()
    delete_one(session)
    assert page.refreshes == 2
    page.show()
    page.hide()
    page.show()
    assert page.refreshes == 3
