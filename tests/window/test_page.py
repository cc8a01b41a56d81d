"""A page catches up when it comes to the front, and not before."""

from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.window.page import Page
from ripenroom.window.session import Session


class CountingPage(Page):
    """Counts its refreshes."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.refreshes = 0

    def refresh(self) -> None:
        self.refreshes += 1


def delete_one(session: Session) -> None:
    session.season.do(actions.batches.delete, [next(iter(session.season.book.batches))])


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


def test_a_fault_in_a_page_is_told_and_takes_nothing_down(qtbot: QtBot, session: Session) -> None:
    class FaultyPage(CountingPage):
        def refresh(self) -> None:
            super().refresh()
            raise ValueError("a fault of ours")

    said: list[str] = []
    session.said.connect(said.append)
    page = FaultyPage(session)
    qtbot.addWidget(page)
    with capture_exceptions() as caught:
        page.show()
        delete_one(session)
    assert page.refreshes == 2
    assert [kind for kind, *_ in caught] == [ValueError, ValueError]
    assert len(said) == 2
    assert "Nothing is lost" in said[0]
