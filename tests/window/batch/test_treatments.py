"""The ethylene treatments in a batch's panel."""

from datetime import timedelta

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.session import Session
from tests.window.gated import pick


def panel(qtbot: QtBot, session: Session, batch_id: str) -> BatchDialog:
    made = BatchDialog(session, batch_id)
    qtbot.addWidget(made)
    made.show()
    return made


def test_treatments_are_listed_deleted_and_undone(qtbot: QtBot, session: Session) -> None:
    season = session.season
    batch_id = pick(session, "anjou", warm=True)
    dialog = panel(qtbot, session, batch_id)
    assert not dialog.treatments.isVisible()
    season.do(actions.batches.treat, [batch_id], 72.0, season.now() + timedelta(days=1))
    assert dialog.treatments.isVisible()
    texts = [label.text() for label in dialog.treatments.findChildren(QLabel)]
    assert "72 h" in texts
    assert any("(planned)" in text for text in texts)
    dialog.treatments.delete_buttons[0].click()
    assert season.book.treatments == {}
    assert not dialog.treatments.isVisible()
    season.undo()
    assert dialog.treatments.isVisible()


@pytest.mark.parametrize(("crop", "offered"), [("anjou", True), ("pawpaw", False)])
def test_ethylene_is_offered_where_it_does_something(
    qtbot: QtBot, session: Session, crop: str, offered: bool
) -> None:
    dialog = panel(qtbot, session, pick(session, crop, warm=True))
    assert dialog.ethylene_button.isVisible() == offered


def test_charts_are_of_what_is_known(qtbot: QtBot, session: Session) -> None:
    banana = panel(qtbot, session, pick(session, "banana", warm=True, feel=None))
    assert not banana.chart._firmness.isVisible()
    assert banana.chart._shares.isVisible()
    tomato = panel(qtbot, session, pick(session, "tomato", warm=True))
    assert tomato.chart._firmness.isVisible()
    assert "green" in tomato.chart._firmness.accessibleName().casefold()
