"""Taking in a logger's file: seen, corrected, taken in, undone."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from ripenroom.exchange.logger_file.understanding import LoggerClock, Role
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.window.places.logs.column_line import Use
from ripenroom.window.places.logs.import_dialog import ImportLogDialog
from ripenroom.window.session import Session


def place_id(session: Session, name: str) -> str:
    return next(p.id for p in session.season.book.places.values() if p.name == name)


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "fridge.csv"
    path.write_text(text, "utf-8")
    return path


def rows(stamp: str = "%Y-%m-%d %H:%M", value: float = 8.5, count: int = 144) -> str:
    start = datetime(2026, 9, 24, 8, tzinfo=UTC)
    times = (start + timedelta(minutes=10 * n) for n in range(count))
    return "".join(f"{at:{stamp}};{value + (n % 7) / 10}\n" for n, at in enumerate(times))


def shown(qtbot: QtBot, session: Session, path: Path, place: str | None = None) -> ImportLogDialog:
    dialog = ImportLogDialog(session, path, place)
    qtbot.addWidget(dialog)
    with qtbot.waitSignal(dialog.reading.understood, timeout=5000):
        pass
    dialog.show()
    return dialog


def choose(qtbot: QtBot, dialog: ImportLogDialog, choices: object, value: object) -> None:
    """Choose in a list as a user does, and wait until the file is read again."""
    with qtbot.waitSignal(dialog.reading.understood, timeout=5000):
        assert choices.choose(value)  # type: ignore[attr-defined]
        choices.activated.emit(choices.currentIndex())  # type: ignore[attr-defined]


def test_what_is_seen_is_taken_in_and_undone(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    fridge = place_id(session, "Old fridge")
    before = session.season.book
    dialog = shown(qtbot, session, written(tmp_path, "time;probe °C\n" + rows()), fridge)
    assert "144 lines with a time" in dialog.facts.text()
    assert dialog.lines[1].chosen() == Use(Role.TEMPERATURE, fridge)
    assert dialog.lines[1].chart.isVisible()
    assert dialog.action_button.isEnabled()
    with qtbot.waitSignal(session.said) as said:
        dialog.accept()
    assert "Old fridge" in said.args[0]
    assert dialog.result() == QDialog.DialogCode.Accepted
    (log,) = (g for g in session.season.ask.logs_of_place(fridge) if g.name == "fridge.csv")
    assert log.starts_at == datetime(2026, 9, 24, 7, tzinfo=UTC)  # Lisbon, in summer
    session.season.undo()
    assert session.season.book == before


def test_nothing_is_taken_in_before_the_place_is_known(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    dialog = shown(qtbot, session, written(tmp_path, "time;probe °C\n" + rows()))
    assert not dialog.action_button.isEnabled()
    assert "place" in dialog.action_button.toolTip()
    line = dialog.lines[1]
    assert line.use.choose(Use(Role.TEMPERATURE, place_id(session, "Cellar shelf")))
    line.use.activated.emit(line.use.currentIndex())
    assert dialog.action_button.isEnabled()
    assert line.chart.isVisible()


def test_what_the_file_does_not_tell_is_asked(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    text = "time;probe\n" + "".join(f"03/04/2026 08:{n:02};{36 + n / 10}\n" for n in range(30))
    dialog = shown(qtbot, session, written(tmp_path, text), place_id(session, "Old fridge"))
    assert not dialog.action_button.isEnabled()
    assert (dialog.order.value(), dialog.unit.value()) == (None, None)
    asked = dialog.board.fields["date_order"].note.text
    assert asked.endswith("Is a date in it 3 Apr 2026 or 4 Mar 2026?")
    offered = [dialog.order.itemText(n) for n in range(dialog.order.count())]
    assert offered[1:] == ["day, month, year: 3 Apr 2026", "month, day, year: 4 Mar 2026"]
    choose(qtbot, dialog, dialog.unit, "F")
    assert not dialog.action_button.isEnabled()
    choose(qtbot, dialog, dialog.order, DateOrder.MONTH_DAY_YEAR)
    assert dialog.action_button.isEnabled()
    assert dialog.found is not None
    (series,) = dialog.found.series
    assert datetime.fromtimestamp(int(series.times_s[0]), UTC).month == 3
    assert series.celsius[0] == pytest.approx((36.0 - 32.0) / 1.8)


def test_every_choice_can_be_corrected_and_the_preview_follows(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    dialog = shown(
        qtbot,
        session,
        written(tmp_path, "time;probe °C\n" + rows()),
        place_id(session, "Cold room"),
    )
    assert dialog.found is not None
    before = dialog.found.series[0]
    choose(qtbot, dialog, dialog.clock, LoggerClock.UTC)
    assert (dialog.found.series[0].times_s - before.times_s == 3600).all()
    choose(qtbot, dialog, dialog.unit, "F")
    np.testing.assert_allclose(dialog.found.series[0].celsius, (before.celsius - 32.0) / 1.8)
    assert dialog.found.series[0].times_s[0] == before.times_s[0] + 3600, "the first one stays"


def test_columns_can_be_taken_for_something_else(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    text = "time;inside;door\n" + "".join(
        f"2026-09-24 08:{n:02};{5 + n / 10};{20 + n / 10}\n" for n in range(30)
    )
    dialog = shown(qtbot, session, written(tmp_path, text), place_id(session, "Cold room"))
    assert dialog.lines[1].chosen() == Use(Role.TEMPERATURE, place_id(session, "Cold room"))
    assert dialog.lines[2].chosen() == Use(Role.TEMPERATURE)
    choose(qtbot, dialog, dialog.lines[2].use, Use(Role.LEFT_OUT))
    assert dialog.found is not None
    assert [series.column for series in dialog.found.series] == [1]
    assert dialog.lines[1].chosen() == Use(Role.TEMPERATURE, place_id(session, "Cold room"))
    line = dialog.lines[0]
    with qtbot.waitSignal(dialog.reading.refused, timeout=5000):
        line.use.choose(Use(Role.LEFT_OUT))
        line.use.activated.emit(line.use.currentIndex())
    assert not dialog.action_button.isEnabled()


def test_a_probe_named_after_a_place_belongs_to_it(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    text = "time;Old fridge (°C);Cellar shelf (°C)\n" + "".join(
        f"2026-09-24 08:{n:02};{5 + n / 10};{13 + n / 10}\n" for n in range(30)
    )
    dialog = shown(qtbot, session, written(tmp_path, text))
    dialog.accept()
    logs = [g for g in session.season.book.temperature_logs.values() if g.name == "fridge.csv"]
    places = {session.season.book.places[log.place_id].name: log.probe for log in logs}
    assert places == {"Old fridge": "Old fridge (°C)", "Cellar shelf": "Cellar shelf (°C)"}
    assert session.season.undo() == "temperature log of Cellar shelf, Old fridge"


def test_columns_that_no_one_could_go_through_are_told(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    probes = range(45)
    text = ";".join(["time", *(f"probe {n} °C" for n in probes)]) + "\n"
    text += "".join(
        ";".join([f"2026-09-24 08:{minute:02}", *(f"{5 + minute / 10}" for _ in probes)]) + "\n"
        for minute in range(30)
    )
    dialog = shown(qtbot, session, written(tmp_path, text))
    assert len(dialog.lines) == 40
    assert "6 more columns to the right are left out" in dialog.facts.text()


def test_a_file_that_is_no_table_is_refused_in_words(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    dialog = ImportLogDialog(session, written(tmp_path, "hello\n"))
    qtbot.addWidget(dialog)
    with qtbot.waitSignal(dialog.reading.refused, timeout=5000):
        pass
    assert "no column with dates" in dialog.facts.text()
    assert not dialog.action_button.isEnabled()


def test_readings_that_lie_ahead_are_refused_and_the_dialog_stays(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    text = rows().replace("2026-09", "2026-10")
    before = session.season.book
    dialog = shown(qtbot, session, written(tmp_path, text), place_id(session, "Cold room"))
    dialog.accept()
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert session.season.book is before


@pytest.mark.long
def test_leaving_stops_the_reading(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    path = written(tmp_path, "time;probe °C\n" + rows(count=200_000))
    dialog = ImportLogDialog(session, path)
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.reading.working
    dialog.reject()
    assert not dialog.reading.working
    assert dialog.found is None
