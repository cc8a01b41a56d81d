"""The dialogs that ``tests.screenshots`` draws beside the pages, each made as a user meets it."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PySide6.QtWidgets import QWidget

from ripenroom.exchange.record_table.grid import grid_of
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.copies.damaged_dialog import DamagedDialog
from ripenroom.window.copies.earlier_dialog import EarlierDialog
from ripenroom.window.copies.merge_dialog import MergeDialog
from ripenroom.window.crops.copy_dialog import CopyCropDialog
from ripenroom.window.forms.batch_moves import EthyleneDialog, MoveDialog, TakeOutDialog
from ripenroom.window.forms.compare_seasons import CompareSeasonsDialog
from ripenroom.window.forms.cultivar import CultivarDialog
from ripenroom.window.forms.edit_pick import EditPickDialog
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.forms.frost import ForecastNightDialog, FrostDialog
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.forms.orchard import OrchardDialog
from ripenroom.window.forms.pack import PackDialog
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.forms.season_details import EditSeasonDialog
from ripenroom.window.forms.second_grade import SecondGradeDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.forms.walk import WalkDialog
from ripenroom.window.forms.walk_sheet import WalkSheetDialog
from ripenroom.window.forms.weather import DayWeatherDialog, WeatherDialog
from ripenroom.window.help.dialog import FIRST_STEPS, HelpDialog
from ripenroom.window.import_table.dialog import TableInDialog
from ripenroom.window.paper.label_dialog import LabelDialog
from ripenroom.window.places.logs.import_dialog import ImportLogDialog
from ripenroom.window.places.logs.list_dialog import LogListDialog
from ripenroom.window.session import Session
from ripenroom.window.shell.page_stack import page_titles
from ripenroom.wording.crops import cautions_of

_TABLE = """Pick date;Fruit;Variety;Hard;Slight give;Gives;Soft;Weight (lb);Where;Shift;Notes
14.09.2026 08:30;Pawpaw;Early pawpaws;;12;5;;;Cold room;1;wet
15.09.2026;pawpaws;early pawpaws;1;9;;;11,0;cellar shelf;2;
16.09.2026;Dragon fruit;;;9;;;;;2;
31.12.2026;Pawpaw;;;9;;;;Cold room;1;
17.09.2026;Pawpaw;;;x;;;;Attic;;
17.09.2026;Pear;Butter pears;30;;;;;Cold room;1;a few bruised by the wind that night
"""

_TABLE_NAME, _LOG_NAME, _COPY_NAME = "walk notes.csv", "fridge and cellar.csv", "shed.ripenroom"
_NOTES = "Wet, dried on the table", "Picked in the rain", "For the neighbours"
_DAMAGED = "{name} is damaged. The structure of the file is damaged: page 4."

TYPED = {
    "bring-in-table": (_TABLE, _TABLE_NAME),
    "bring-in-log": (_LOG_NAME, "Logger Time Fridge Cellar Battery"),
    "logs": (_LOG_NAME,),
    "another-copy": (_COPY_NAME, *_NOTES),
    "damaged": (_DAMAGED,),
}
"""What others wrote that these dialogs show, by their names."""

Waiting = Callable[[Callable[[], bool]], None]


def _next_day(session: Session) -> str:
    """The next market day."""
    days = session.season.book.market_days.values()
    ahead = (day for day in days if day.starts_at > session.season.now())
    return min(ahead, key=lambda day: day.starts_at).id


def dialogs(
    session: Session, folder: Path, wait_for: Waiting, parent: QWidget
) -> Iterator[tuple[str, Callable[[], QWidget]]]:
    """Names and makers; files that dialogs are about are written into ``folder``."""
    book, projection = session.season.book, session.projection()
    pairs = zip(projection.batch_ids, projection.left, strict=True)
    left = [batch_id for batch_id, fruit in pairs if fruit > 0]
    batch, place = left[len(left) // 2], sorted(book.places, key=lambda i: book.places[i].name)[-1]
    day = max(book.market_days.values(), key=lambda one: one.starts_at)
    ask = session.season.ask
    fridge = next((key for key in book.places if ask.logs_of_place(key)), place)

    def bring_in() -> QWidget:
        dialog = TableInDialog(session, grid_of(_TABLE.splitlines()), _TABLE_NAME, parent)
        dialog.table.setCurrentIndex(dialog.model.index(2, 1))
        return dialog

    def log_in() -> QWidget:
        dialog = ImportLogDialog(session, _logger_file(folder), fridge, parent)
        wait_for(lambda: bool(dialog.lines))
        return dialog

    def help_on(topic: str) -> Callable[[], QWidget]:
        cautions = cautions_of(session.season.crops.values(), session.words)
        return lambda: HelpDialog(topic, page_titles(), cautions, parent)

    yield "pack", lambda: PackDialog(session, _next_day(session), parent)
    yield "bring-in-table", bring_in
    yield "bring-in-log", log_in
    yield "logs", lambda: LogListDialog(session, fridge, parent)
    yield "place", lambda: PlaceDialog(session, place, parent)
    yield "market-day", lambda: MarketDayDialog(session, day, parent=parent)
    yield "new-market-day", lambda: MarketDayDialog(session, parent=parent)
    yield "second-grade", lambda: SecondGradeDialog(session, parent)
    yield "move", lambda: MoveDialog(session, left[:3], parent)
    yield "sold", lambda: TakeOutDialog(session, batch, "sold", parent)
    yield "discard", lambda: TakeOutDialog(session, batch, "discarded", parent)
    yield "edit-pick", lambda: EditPickDialog(session, batch, parent)
    yield "ethylene", lambda: EthyleneDialog(session, batch, parent)
    yield "expected-pick", lambda: ExpectedPickDialog(session, None, parent)
    yield "labels", lambda: LabelDialog(session, left[:2], parent)
    yield "copy-crop", lambda: CopyCropDialog(session, "pawpaw", parent)
    yield "orchard", lambda: OrchardDialog(session, parent)
    yield "cultivar", lambda: CultivarDialog(session, next(iter(book.cultivars)), parent)
    yield "row", lambda: RowDialog(session, next(iter(book.rows)), parent)
    yield "walk", lambda: WalkDialog(session, next(iter(book.rows)), None, parent)
    yield "walk-sheet", lambda: WalkSheetDialog(session, parent)
    yield "weather", lambda: WeatherDialog(session, parent)
    yield "weather-day", lambda: DayWeatherDialog(session, None, parent)
    yield "forecast-night", lambda: ForecastNightDialog(session, parent)
    yield "frost", lambda: FrostDialog(session, parent)
    yield "seasons", lambda: CompareSeasonsDialog(session, parent)
    yield "season-details", lambda: EditSeasonDialog(session, parent)
    yield "help", help_on(FIRST_STEPS)
    yield "keyboard", help_on("keyboard")


def copies(
    session: Session, folder: Path, parent: QWidget
) -> Iterator[tuple[str, Callable[[], QWidget]]]:
    """The dialogs about earlier copies and a second copy; the season is changed for them."""
    season = session.season
    kept = season.copies.kept_in(folder / "copies").keep(season.path, season.now())
    assert kept is not None
    shed = folder / _COPY_NAME
    shutil.copyfile(season.path, shed)
    first, second, third, *_ = season.book.batches.values()
    other = Season.open(shed)
    other.do(actions.batches.change, replace(first, note=_NOTES[0]))
    other.do(actions.batches.change, replace(second, pulp_c=12.0))
    other.do(actions.batches.delete, [third.id])
    other.close()
    season.do(actions.batches.change, replace(first, note=_NOTES[1]))
    season.do(actions.batches.change, replace(third, note=_NOTES[2]))
    yield "earlier-copies", lambda: EarlierDialog(session, [kept], parent)
    yield "another-copy", lambda: MergeDialog(session, season.copies.meet(shed), shed.name, parent)
    why = _DAMAGED.format(name=season.path.name)
    yield "damaged", lambda: DamagedDialog(season.path, why, [kept], parent)


@contextmanager
def undone(session: Session) -> Iterator[None]:
    """What is changed inside is taken back afterwards."""
    before = session.season.undo_label
    yield
    while session.season.undo_label != before:
        session.season.undo()


def _logger_file(folder: Path) -> Path:
    """Two days of a thermometer with two probes, one of which failed for a while."""
    start = datetime(2026, 9, 28, 6, tzinfo=UTC)
    lines = ["Logger 4711", "Time;Fridge (°C);Cellar (°C);Battery"]
    for n in range(288):
        at = start + timedelta(minutes=10 * n)
        fridge = "ERR" if 100 <= n < 112 else f"{6.2 + (n % 9) / 10:.1f}".replace(".", ",")
        cellar = f"{14.0 + (n % 5) / 10:.1f}".replace(".", ",")
        lines.append(f"{at:%d.%m.%Y %H:%M};{fridge};{cellar};97")
    path = folder / _LOG_NAME
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path
