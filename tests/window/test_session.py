"""Commands, refusals and previews go through one session."""

import shutil
from dataclasses import replace
from pathlib import Path

from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.projection import Projection
from ripenroom.window.session import Session


def test_a_command_that_works_is_said_and_heard(qtbot: QtBot, session: Session) -> None:
    batch_id = next(iter(session.season.book.batches))
    with qtbot.waitSignals([session.changed, session.said]):
        assert session.run("gone", lambda: session.season.do(actions.batches.delete, [batch_id]))
    assert batch_id not in session.season.book.batches


def test_a_refusal_goes_to_its_field_first(qtbot: QtBot, session: Session) -> None:
    shown: list[str] = []

    def refuse() -> None:
        raise Refusal("count", "Too many.")

    def beside(refusal: Refusal) -> bool:
        shown.append(refusal.field)
        return True

    with qtbot.assertNotEmitted(session.refused):
        assert not session.run("", refuse, beside)
    assert shown == ["count"]
    with qtbot.waitSignal(session.refused):
        assert not session.run("", refuse, lambda _refusal: False)


def test_a_file_that_was_replaced_is_said_and_nothing_breaks(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    path = session.season.path
    shutil.copyfile(path, tmp_path / "other")
    (tmp_path / "other").replace(path)
    batch_id = next(iter(session.season.book.batches))
    with qtbot.waitSignal(session.refused) as refused:
        assert not session.run("", lambda: session.season.do(actions.batches.delete, [batch_id]))
    assert path.name in refused.args[0].message
    assert batch_id in session.season.book.batches


def test_a_preview_changes_nothing(qtbot: QtBot, session: Session) -> None:
    place_id = next(iter(session.season.book.places))
    before = session.season.set_point_c(place_id)
    label = session.season.undo_label
    with qtbot.waitSignal(session.previewed) as previewed:
        session.preview_set_point(place_id, before + 5.0)
    assert isinstance(previewed.args[0], Projection)
    assert session.season.set_point_c(place_id) == before
    assert session.season.undo_label == label
    with qtbot.waitSignal(session.previewed) as previewed:
        session.end_preview()
    assert previewed.args[0] is None


def test_units_are_reread_after_a_change(session: Session) -> None:
    assert session.words.temperature(0.0).endswith("°C")
    session.season.do(actions.season.save, replace(session.season.book.season, units="us"))
    assert session.words.temperature(0.0) == "32.0 °F"
