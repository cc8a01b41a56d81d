"""The line that says how the plan stands."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from ripenroom.season.plans.planner import Planner
from ripenroom.window.plan_status import PlanStatus, PlanWords
from ripenroom.window.session import Session
from tests.window.planned import SLOW_MS, planned


def test_it_follows_the_plan(qtbot: QtBot, session: Session) -> None:
    status = PlanStatus(session)
    qtbot.addWidget(status)
    assert status.text == "There is no plan yet."
    status.button.click()
    assert status.text == "Working on the plan…"
    assert status.button.text() == "Stop planning"
    status.button.click()
    assert status.text == "There is no plan yet."
    planned(qtbot, session)
    assert status.text == "Plan of Thu 1 Oct, 07:30."
    assert status.button.accessibleName() == "Plan again"


@pytest.mark.usefixtures("worked_out_anew")
def test_a_fault_is_told(qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_args: object, **_named: object) -> None:
        raise ValueError("a fault of ours")

    monkeypatch.setattr(Planner, "plan", fails)
    status = PlanStatus(session)
    qtbot.addWidget(status)
    with capture_exceptions():
        session.plans.again()
        qtbot.waitUntil(lambda: not session.plans.working, timeout=SLOW_MS)
    assert status.text.startswith("The plan could not be made.")


def test_words_in_a_corner_take_no_room_and_are_told_whole_in_the_hint(qtbot: QtBot) -> None:
    picture = QWidget()
    qtbot.addWidget(picture)
    picture.resize(600, 400)
    words = PlanWords(picture, lambda: QRect(8, 2, picture.width() // 2, 40))
    picture.show()
    long = "A pin of P-0914-2 cannot be kept: the place is gone. " * 6
    words.say(long.strip())
    assert words.text().endswith("…")
    assert words.toolTip() == words.accessibleDescription() == long.strip()
    needs = words.fontMetrics().boundingRect(
        words.rect(), int(Qt.TextFlag.TextWordWrap), words.text()
    )
    assert needs.height() <= words.height()
    shown = len(words.text())
    picture.resize(1200, 400)
    assert len(words.text()) > shown
    words.say("Planning…")
    assert (words.text(), words.isVisible()) == ("Planning…", True)
    words.say("")
    assert not words.isVisible()
